//! One fact said twice of one thing: two loops of a pedal, two switchers, two safe switches.
//!
//! # On stage
//! One of the two is wrong, and the board is wired by the other.
//!
//! # Way out
//! Take one of the two out.
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
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; gain 3 dB stated }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::SaidTwice { at, first } = fault else { continue };
        let says = facts.text(*at);
        let word = says.split_whitespace().next().unwrap_or(says);
        out.push(
            Diagnostic::new(*at, format!("`{word}` is said twice"))
                .label("said here again")
                .other(*first, "said here first")
                .help("take one of the two out"),
        );
    }
}
