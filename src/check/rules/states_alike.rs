//! Two states of one control that the device cannot tell apart: one pattern of contacts, or one program.
//!
//! # On stage
//! Whichever of the two a scene asks for, the same is heard, and the sheet calls it by the other name.
//!
//! # Way out
//! Mend the pattern or the program of one of them, or take it out and say the other wherever it was meant.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: open; sharp: open } }
//! scene bed { engage sift; sift.voice sharp }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal throb { loop 1; control wave on midi 3 programs from 1 { even: program 12; odd: program 12 } }
//! scene bed { engage throb; throb.wave odd }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal throb {
//!   loop 1
//!   control wave on midi 3 programs from 1 { even: program 12 bank 1; odd: program 12 bank 2 }
//!   control turn on remote 1 tip momentary { slow; fast } starts slow
//! }
//! scene bed { engage throb; throb.wave odd; throb.turn slow }
//! song "Quay" { all: bed }
//! ```

use crate::book::{How, State};
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for device in &facts.book.board.devices {
        for control in &device.controls {
            let banked = control.banked();
            // Where some programs lie in a bank, the others come back to the first.
            let sent = |s: &State| s.program.map(|p| (if banked { s.bank.unwrap_or(1) } else { 0 }, p));
            let alike = |a: &State, b: &State| match control.how {
                How::Remote { momentary: false, .. } => !a.pattern.is_empty() && a.pattern == b.pattern,
                How::Programs { .. } | How::CcStates { .. } => sent(a).is_some() && sent(a) == sent(b),
                How::Messages { .. } => !a.messages.is_empty() && a.messages == b.messages,
                _ => false,
            };
            for (number, state) in control.states.iter().enumerate() {
                let Some(first) = control.states.iter().take(number).find(|first| alike(first, state)) else { continue };
                let (name, own) = (&state.name, &first.name);
                let what = match control.how {
                    How::Remote { .. } => "one pattern of contacts",
                    How::CcStates { .. } => "one value",
                    How::Messages { .. } => "one message",
                    _ => "one program",
                };
                // A state from a shipped description is told where the device stands in the book.
                let shipped = facts.files.get(state.at.file).is_none_or(|f| f.shipped);
                let at = if shipped { control.at } else { state.at };
                let message = format!("`{own}` and `{name}` of `{}.{}` are {what}", device.name, control.name);
                let told = Diagnostic::new(at, message);
                let told = if shipped { told } else { told.other(first.at, "the first") };
                out.push(told.help(format!("mend one of the two, or take `{name}` out and say `{own}` wherever it was meant")));
            }
        }
    }
}
