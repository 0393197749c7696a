//! A level whose range starts and ends at one value.
//!
//! # On stage
//! The port would never move, whatever the scenes say.
//!
//! # Way out
//! Say the two values that the level has at the ends of the port.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 5 % to 5 % }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal lag { loop 1; level time on expression 1 from 1 s to 1000 ms }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 60 % to 0 % }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        if let Fault::RangeEmpty { at } = fault {
            out.push(
                Diagnostic::new(*at, format!("a range from `{}` is no range: both ends are one value", facts.text(*at)))
                    .help("say the two different values, one for each end of the travel, as `from 0 % to 60 %`"),
            );
        }
    }
}
