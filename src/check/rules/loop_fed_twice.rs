//! Two leads that arrive at one loop, from two places.
//!
//! # On stage
//! A jack takes one plug. Whoever wires the board plugs one of the two leads, and what stands in the other is not heard.
//!
//! # Way out
//! Let the chains be one up to that loop, or let one of them go round it.
//!
//! # Fires
//! ```scene
//! switcher { loops 3; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..3 -> output 1
//! chain side: loop 1 -> loop 3
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1; send 1 kohm }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain effects: larch send -> loop 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 3; outputs 2 }
//! guitar plank
//! guitar hollow
//! pedal ember { loop 1 }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: plank -> loops 1..3 -> output 1
//! chain other: hollow -> loops 1..3 -> output 1
//! chain side: loop 3 -> output 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```

use std::collections::BTreeMap;

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::route::{self, Place};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let (board, route) = (&facts.book.board, facts.route());
    if route.faulty {
        return;
    }
    // For each loop: the place before it, and the chain that says so.
    let mut before: BTreeMap<u16, (Place, usize)> = BTreeMap::new();
    for (number, (chain, along)) in board.chains.iter().zip(&route.chains).enumerate() {
        for (from, to) in along.iter().zip(along.iter().skip(1)) {
            let (from, Place::Loop(at), link) = (from.0, to.0, to.1) else { continue };
            // A loop with two sides has two jacks; guitars are plugged one at a time.
            let two_jacks = board.in_loop(at).is_some_and(|d| d.stereo);
            let guitars = |other: Place| matches!((from, other), (Place::Guitar(_), Place::Guitar(_)));
            match before.get(&at).copied() {
                None => drop(before.insert(at, (from, number))),
                Some((other, first)) if other != from && !two_jacks && !guitars(other) => {
                    let Some(first) = board.chains.get(first) else { continue };
                    let at_link = chain.links.get(link).map_or(chain.at, |l| l.at);
                    let says = |place| route::says(board, place);
                    let (one, two) = (says(other), says(from));
                    out.push(
                        Diagnostic::new(at_link, format!("`{}` comes to loop {at} from `{two}`, and `{}` from `{one}`", chain.name, first.name))
                            .other(first.at, "a jack takes one plug, and this chain has it")
                            .help(format!("let both be one chain up to loop {at}, or let one of them go round it")),
                    );
                    // One such loop a chain: what follows is the same mistake.
                    break;
                }
                Some(_) => {}
            }
        }
    }
}
