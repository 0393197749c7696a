//! A control or level whose jack, port or channel has no number yet, as in a description that ships with the tool.
//!
//! # On stage
//! The switcher would not know what to move.
//!
//! # Way out
//! Say the number where the pedal is described: `control voice on remote 1`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote { round: tip closed; sharp: ring closed } }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression from 0 % to 60 % }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal throb { loop 1; level depth on midi cc 14 }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 { round: tip closed; sharp: ring closed } }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::JackUnsaid { at, device, control, jack } = fault else { continue };
        let (message, help) = match *jack {
            "remote" => ("is on no remote jack yet", format!("`control {control} on remote NUMBER`")),
            "expression" => ("is on no expression port yet", format!("`level {control} on expression NUMBER`")),
            _ => ("has no MIDI channel yet", "`on midi NUMBER` and what follows".to_owned()),
        };
        out.push(
            Diagnostic::new(*at, format!("`{control}` of `{device}` {message}"))
                .help(format!("say the number where `{device}` is described: {help}")),
        );
    }
}
