//! Two amplifiers that sound together and move their speakers the opposite way.
//!
//! # On stage
//! The low notes of one cancel those of the other: together they are thinner than either alone.
//!
//! # Way out
//! Turn one of the two round: by its own polarity switch, an output that can, or a pedal that inverts, in its path alone.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2; inverts polarity }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2
//! default { output 1 on; output 2 on }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 2, split after 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal tide { loop 2; inverts polarity }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2
//! chain effects: larch send -> loop 2 -> larch return
//! default { output 1 on; output 2 on }
//! scene bed { engage ember }
//! scene wide { engage ember, tide }
//! song "Quay" on plank { bed; wide }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1; inverts polarity }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2
//! default { output 1 on; output 2 on }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2; inverts polarity }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2
//! default { output 1 on; output 2 off }
//! scene bed { engage ember }
//! scene wide { output 1 off; output 2 on }
//! song "Quay" on plank { bed; wide }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for ((a, b), groups) in &facts.signal().opposed {
        let Some((a, b)) = board.devices.get(*a).zip(board.devices.get(*b)) else { continue };
        let message = format!("`{}` and `{}` sound in opposite polarity in {}", a.name, b.name, facts.sounding(groups));
        out.push(
            Diagnostic::new(b.at, message)
                .other(a.at, "against this one")
                .about(&*b.name)
                .help("turn one of the two round, in its path alone, or let one of them sound there"),
        );
    }
}
