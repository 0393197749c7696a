//! Two names that differ by capitals only, or by letters that look the same.
//!
//! # On stage
//! On a sheet in stage light they are one name.
//!
//! # Way out
//! Give one of them another name.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! scene Bed { mute }
//! song "Quay" { bed; Bed }
//! ```
//! ```scene
//! scene lead1 { mute }
//! scene leadl { mute }
//! song "Quay" { lead1; leadl }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! scene bed-2 { mute }
//! song "Quay" { bed; bed-2 }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::NamesAlike { at, first } = fault else { continue };
        let (name, other) = (facts.text(*at), facts.text(*first));
        out.push(
            Diagnostic::new(*at, format!("`{name}` looks like `{other}`"))
                .other(*first, "the other one")
                .help("give one of the two a name that nobody takes for the other"),
        );
    }
}
