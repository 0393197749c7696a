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

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::{loose, route};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for found in loose::doubled(board, facts.route()) {
        let (Some(chain), Some(first)) = (board.chains.get(found.chain), board.chains.get(found.first)) else { continue };
        let at = chain.links.get(found.link).map_or(chain.at, |l| l.at);
        let (says, one, two) = (board.loop_says(found.number), route::says(board, found.other), route::says(board, found.from));
        out.push(
            Diagnostic::new(at, format!("`{}` comes to {says} from `{two}`, and `{}` from `{one}`", chain.name, first.name))
                .other(first.at, "a jack takes one plug, and this chain has it")
                .help(format!("let both be one chain up to {says}, or let one of them go round it")),
        );
    }
}
