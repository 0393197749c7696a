//! A bypass of an amp, or of a pedal that is always on: no preset can take it out of the way.
//!
//! # On stage
//! It sounds all the same, in the one scene that was built without it.
//!
//! # Way out
//! Take the statement out. To silence an amp, turn off the output that feeds it.
//!
//! # Fires
//! ```scene
//! pedal booster { always on }
//! scene bed { bypass booster }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! amp combo { fed by output 1 }
//! scene bed { bypass combo }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! default { engage ember }
//! scene bed { bypass ember }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CannotBypass { at, name, amp, there } = fault else { continue };
        let device = facts.device_at(*there);
        let watched = device.is_some_and(|d| d.watched());
        let why = match (amp, watched) {
            (true, _) => "it is an amp, and sounds in every scene",
            (_, true) => "it is a tuner, and nobody hears it",
            _ => "it is always on, in no loop",
        };
        let fed = device.and_then(|d| d.fed_by);
        let help = match (amp, fed) {
            (true, Some(output)) => format!("to silence it, turn output {} off", output.value),
            (true, None) => "to silence it, say which output feeds it, and turn that off".to_owned(),
            (false, _) => "decide whether it is to be switched: it needs a loop for that".to_owned(),
        };
        let told = Diagnostic::new(*at, format!("`{name}` cannot be bypassed: {why}"))
            .other(*there, format!("`{name}` is described here"));
        out.push(match (amp, fed) {
            (true, Some(output)) => {
                let say = format!("output {} off", output.value);
                let edits = facts.take_out(*at).zip(facts.in_block(*at, &say)).map(|(out, put)| [out, put].concat());
                told.way("", format!("to silence it, say `{say}` instead"), edits)
            }
            (true, None) => told,
            (false, _) => told.way("", "take this out", facts.take_out(*at)).besides("give it a loop in its description"),
        }.help(help));
    }
}
