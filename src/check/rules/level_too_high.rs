//! A pedal that takes instrument level only, where an amplifier's effects loop is at line level.
//!
//! # On stage
//! It is overdriven by whatever comes: every sound through it is broken up, and quieter settings don't help.
//!
//! # Way out
//! Move it before the amplifier, or use a send at instrument level.
//!
//! # Fires
//! ```scene
//! switcher { loops 2, split after 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal tide { loop 2; takes instrument level }
//! amp larch { fed by output 1; send 1 kohm at line level }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> loop 2 -> larch return
//! scene bed { engage ember, tide }
//! song "Quay" on plank { bed }
//! ```
//!
//! ```scene
//! switcher { loops 2, split after 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal tide { takes instrument level }
//! amp larch { fed by output 1; return 10 kohm at line level }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> tide -> larch return
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2, split after 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; takes instrument level }
//! pedal tide { loop 2 }
//! amp larch { fed by output 1; send 1 kohm at line level }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> loop 2 -> larch return
//! scene bed { engage ember, tide }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 2, split after 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal tide { loop 2; takes instrument level }
//! amp larch { fed by output 1; send 1 kohm }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> loop 2 -> larch return
//! scene bed { engage ember, tide }
//! song "Quay" on plank { bed }
//! ```

use crate::book::DeviceKind;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for ((device, amp), groups) in &facts.signal().too_hot {
        let Some((pedal, amp)) = board.devices.get(*device).zip(board.devices.get(*amp)) else { continue };
        let message = format!("`{}` takes instrument level, and gets line level in {}", pedal.name, facts.sounding(groups));
        out.push(
            Diagnostic::new(pedal.electric.instrument.unwrap_or(pedal.at), message)
                .other(amp.electric.line.unwrap_or(amp.at), format!("`{}` is at line level here", amp.name))
                .about(&*pedal.name)
                .help(if amp.kind == DeviceKind::Amp {
                    format!("move `{}` before the amplifier, or out of its effects loop", pedal.name)
                } else {
                    format!("take `{}` out of the insert of `{}`", pedal.name, amp.name)
                }),
        );
    }
}
