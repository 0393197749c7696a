//! A book that speaks of loops, jacks or slots, and describes no switcher. Told once.
//!
//! # On stage
//! Without the switcher nobody knows what a preset can hold.
//!
//! # Way out
//! Describe the switcher, or `use` the file that does.
//!
//! # Fires
//! ```scene
//! pedal ember { loop 1 }
//! ```
//! ```scene
//! scene bed { engage loop 1 }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! slots { 1.1 bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        if let Fault::SwitcherMissing { at } = fault {
            let asks = facts.text(*at);
            out.push(
                Diagnostic::new(*at, format!("`{asks}` needs a switcher, and the book describes none"))
                    .label("the first place that needs it")
                    .help("describe it, as `switcher { loops 8; remote jacks 2 }`, or `use` the file that does"),
            );
        }
    }
}
