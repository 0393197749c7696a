//! A value beyond what its level, port or counter can take.
//!
//! # On stage
//! The unit would clip it or send nonsense; what is heard is not what was written.
//!
//! # Way out
//! Stay within the range, or mend the range where the pedal is described.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 80 % }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal throb { loop 1; level depth on midi 17 cc 14 }
//! ```
//! ```scene
//! switcher { loops 1; banks 8..1, switches 1..5 }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 60 % to 0 % }
//! scene bed { engage throb; throb.depth 60 % }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::OutOfRange { at, what, range, there } = fault else { continue };
        let told = Diagnostic::new(*at, format!("`{}` lies outside the range of {what}", facts.text(*at)));
        // A range in the book's own words goes from one end to the other; any other is told as it is.
        let told = match range.strip_prefix("from ") {
            Some(ends) => told.help(format!("say a value from {ends}")),
            None => told.help(format!("say {range}")),
        };
        out.push(match there {
            Some(there) => told.other(*there, format!("its range goes {range}")),
            None => told,
        });
    }
}
