//! A chain that starts where no lead arrives, or ends where none goes on.
//!
//! # On stage
//! What it leads through is silent, however the loops are set.
//!
//! # Way out
//! Start it at the guitar, at an amplifier's send, or at a place that another chain reaches; lead it on to an output, an
//! amplifier or a return.
//!
//! # Fires
//! ```scene
//! switcher { loops 3; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> loop 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 3; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 2 -> output 2
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 3; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! pedal needle "tuner" { always on }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1
//! chain rest: loop 1 -> loop 2 -> output 1
//! chain tune: loop 1 -> needle
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::route::Place;
use crate::study::{loose, route};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for end in loose::ends(book, facts.route()) {
        let Some(chain) = book.board.chains.get(end.chain) else { continue };
        let at = chain.links.get(end.link).map_or(chain.at, |l| l.at);
        let (name, place) = (&chain.name, route::says(&book.board, end.place));
        out.push(if let Place::Key(_) = end.place {
            Diagnostic::new(at, format!("`{name}` starts at `{place}`, which only listens"))
                .help("lead the chain on from the device's output, by its name alone")
        } else if end.start {
            Diagnostic::new(at, format!("`{name}` starts at `{place}`, and no lead arrives there"))
                .help("start it at `guitar`, at an amplifier's send, or at a place that another chain reaches")
        } else {
            Diagnostic::new(at, format!("`{name}` ends at `{place}`, and no lead goes on from there"))
                .help("lead it on to an output, an amplifier or a return, as `-> output 1`")
        });
    }
}
