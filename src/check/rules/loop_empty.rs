//! A scene engages a loop that has nothing in it.
//!
//! # On stage
//! The signal goes out of the send and finds no way back: silence, in the middle of a song.
//!
//! # Way out
//! Engage the loop of the pedal that was meant, or say which pedal sits there.
//!
//! # Fires
//! ```scene
//! switcher { loops 8 }
//! scene bed { engage loop 6 }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 8 }
//! pedal ember { loop 1 }
//! scene bed { engage ember, loop 7 }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 8 }
//! pedal ember { loop 6 }
//! scene bed { engage loop 6 }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::LoopEmpty { at, number } = fault else { continue };
        let says = facts.book.board.loop_says(*number);
        out.push(
            Diagnostic::new(*at, format!("{says} is engaged, and nothing sits in it"))
                .label("no pedal is described in this loop")
                .besides(format!("describe the pedal that sits in {says}"))
                .way("", "take this out", facts.take_out(*at))
                .help(format!("decide which pedal sits in {says}, and describe it so")),
        );
    }
}
