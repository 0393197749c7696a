//! One fact said twice of one thing: two loops of a pedal, two switchers, two safe switches, two pulses of a contact.
//!
//! # On stage
//! One of the two is wrong, and the board is wired by the other. A preset pulses a contact once: the second pulse never comes.
//!
//! # Way out
//! Take one of the two out. Where a device has to be moved on by two, let two presets follow each other.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; loop 2 }
//! ```
//! ```scene
//! switcher { loops 2; loops 3 }
//! ```
//! ```scene
//! switcher { loops 2 }
//! switcher { loops 3 }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! scene bed { pulse remote 1 tip, remote 1 tip }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { tuning "drop D"; verse: bed; tuning "open G"; outro: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; gain 3 dB stated }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! scene bed { pulse remote 1 tip, remote 1 ring }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        if let Fault::PulsedTwice { at, first } = fault {
            out.push(
                Diagnostic::new(*at, format!("`{}` is pulsed twice, and a preset pulses it once", facts.text(*at)))
                    .label("pulsed here again")
                    .other(*first, "pulsed here first")
                    .help("take one of the two out"),
            );
        }
        let Fault::SaidTwice { at, first } = fault else { continue };
        let says = facts.text(*at);
        let word = says.split_whitespace().next().unwrap_or(says);
        out.push(
            Diagnostic::new(*at, format!("`{word}` is said twice"))
                .label("said here again")
                .other(*first, "said here first")
                .way("", "take out the one that is said here again", facts.take_out(*at))
                .way("", "take out the first", facts.take_out(*first))
                .help("decide which of the two stands, and take the other out"),
        );
    }
}
