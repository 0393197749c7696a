//! A jack of the panel that is given to two things.
//!
//! # On stage
//! One of the two leads has nowhere to go, and which one is found out at the plug-in.
//!
//! # Way out
//! Give one of them another number.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! panel { in 1 guitar; in 1 larch send }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! panel { out 1 output 1; out 1 remote 1 }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! panel { in 1 guitar; out 1 output 1 }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(panel) = &facts.book.board.panel else { return };
    for (index, jack) in panel.jacks.iter().enumerate() {
        let earlier = panel.jacks.iter().take(index).find(|j| (j.out, j.number) == (jack.out, jack.number));
        if let Some(first) = earlier {
            let way = if jack.out { "out" } else { "in" };
            out.push(
                Diagnostic::new(jack.at, format!("`{way} {}` of the panel is taken already", jack.number))
                    .other(first.at, "it is given to this")
                    .help("give one of the two another number"),
            );
        }
    }
}
