//! Two chains that pass the same two places in opposite order.
//!
//! # On stage
//! A loop's jacks take one plug each: only one of the two orders can be wired, and the other chain runs in a circle.
//!
//! # Way out
//! Write the loops in the order in which they are wired, in both chains.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> loop 2 -> output 1
//! chain side: guitar -> loop 2 -> loop 1 -> output 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 2; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain side: loop 2 -> loop 1 -> output 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain side: loop 1 -> output 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::route;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let chains: Vec<_> = facts.book.board.chains.iter().zip(&facts.route().chains).filter(|(c, _)| !c.faulty).collect();
    for (nth, (chain, along)) in chains.iter().enumerate() {
        for (earlier, before) in chains.iter().take(nth) {
            let Some((first, second, number)) = route::turned(before, along) else { continue };
            let at = chain.links.get(number).map_or(chain.at, |l| l.at);
            let says = |place| route::says(&facts.book.board, place);
            let (one, two) = (says(first), says(second));
            out.push(
                Diagnostic::new(at, format!("`{}` comes to `{two}` behind `{one}`, `{}` the other way round", chain.name, earlier.name))
                    .other(earlier.at, format!("here `{two}` comes first"))
                    .help("write both in the order in which they are wired"),
            );
        }
    }
}
