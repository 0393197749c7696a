//! A unit that measures something else than its place wants.
//!
//! # On stage
//! A gain cannot be milliseconds; whatever was meant is not set.
//!
//! # Way out
//! Say it in one of the units of the help, or move it to the line where it belongs.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; gain 6 ms stated }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 20 dB }
//! song "Quay" { bed }
//! ```
//! ```scene
//! guitar plank { cable 6 ohm at 100 pF/m }
//! ```
//!
//! # Silent
//! ```scene
//! guitar plank { cable 600 cm at 100 pF/m }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{Amount, Fault};
use crate::syntax::units::Dimension;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let mut told = None;
    for fault in facts.binding {
        let Fault::UnitWrong { at, wanted } = fault else { continue };
        // Two that stand the wrong way round are one mistake.
        if told.replace(facts.line(*at)) == Some(facts.line(*at)) {
            continue;
        }
        let text = facts.text(*at);
        let kind = |d: Dimension| d.says().split([',', '`']).next().unwrap_or("").trim_end_matches(" in ").to_owned();
        let is = Amount::read(text).map_or("something else".to_owned(), |a| kind(a.dimension));
        out.push(
            Diagnostic::new(*at, format!("`{text}` is {is}, and {} is wanted here", kind(*wanted)))
                .help(format!("say {}", wanted.says())),
        );
    }
}
