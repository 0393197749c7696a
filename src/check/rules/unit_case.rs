//! A unit in the wrong capitals, as `1 mohm` for `1 Mohm`.
//!
//! # On stage
//! From milli to mega it is a factor of a thousand million: the tone and the level of the whole chain would be
//! computed wrongly.
//!
//! # Way out
//! Write the unit as the help says.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; input 1 mohm }
//! ```
//! ```scene
//! supply brick { outlet A 9v, 300 ma }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; input 1 Mohm; output 1 kΩ }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::syntax::fault::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::UnitCase { at, meant } = fault else { continue };
        let text = facts.text(*at);
        let split = text.rfind(|c: char| c.is_ascii_digit()).map_or(0, |last| last + 1);
        let (number, unit) = text.split_at(split);
        let mended = format!("{number}{}{meant}", if unit.starts_with(char::is_whitespace) { " " } else { "" });
        out.push(
            Diagnostic::new(*at, format!("`{}` is no unit: capitals matter", unit.trim()))
                .help(format!("did you mean `{meant}`?"))
                .fix(How::Figure, format!("say `{mended}`"), *at, &mended),
        );
    }
}
