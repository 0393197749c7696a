//! A number with more digits than the tool keeps.
//!
//! # On stage
//! A number that is cut short is another number. Nothing on a pedalboard is known so exactly: mostly a finger stayed on
//! a key, or a number was pasted from elsewhere.
//!
//! # Way out
//! Say it with 15 digits or fewer. Zeros in front of a number and at the end of its fraction are not counted.
//!
//! # Fires
//! ```scene
//! guitar plank { cable 6.000000000000001 m at 100 pF/m }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 33.333333333333333 % }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! guitar plank { cable 6.00000000000000000 m at 0000000000000000100 pF/m }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::decimal::MOST_DIGITS;
use crate::syntax::fault::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::NumberTooLong { at } = fault else { continue };
        let told = Diagnostic::new(*at, format!("`{}` has more than {MOST_DIGITS} digits", facts.text(*at)));
        out.push(told.help(format!("say it with {MOST_DIGITS} digits or fewer")));
    }
}
