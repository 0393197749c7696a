//! A chain that leads from one output of the switcher into another.
//!
//! # On stage
//! Two outputs push against each other: one of them may be harmed, and neither is heard as written.
//!
//! # Way out
//! Feed the second output from the loop before the first, in a chain of its own.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: output 1 -> output 2
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! buffer wick
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1 -> wick -> output 2
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (chain, along) in facts.book.board.chains.iter().zip(&facts.route().chains).filter(|(c, _)| !c.faulty) {
        let mut last = None;
        for (place, link) in along {
            match (last, *place) {
                (Some(from), Place::Output(output)) if from != output => {
                    let at = chain.links.get(*link).map_or(chain.at, |l| l.at);
                    out.push(
                        Diagnostic::new(at, format!("`{}` leads from output {from} into output {output}", chain.name))
                            .help(format!("lead a chain of its own to output {output}, from the loop before output {from}")),
                    );
                    last = Some(output);
                }
                (_, Place::Output(output)) => last = Some(output),
                // What stands between them does not part them.
                (_, Place::Device(_)) => {}
                _ => last = None,
            }
        }
    }
}
