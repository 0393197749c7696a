//! A character that cannot be seen: a blank of no width, or a sign that turns the direction of writing.
//!
//! # On stage
//! Two names that look the same are not, or a line reads otherwise than it is printed.
//!
//! # Way out
//! Take it out; it usually came with a text copied from a web page.
//!
//! # Fires
//! ```scene
//! scene be\u{200B}d { mute }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay \u{202E}draw" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene été { mute }
//! song "Дом" { été }
//! ```

use super::{Diagnostic, Facts, Severity, say};
use crate::syntax::fault::Fault;
use crate::syntax::lexer::is_hidden;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::Hidden { at } = fault else { continue };
        let text = facts.text(*at);
        let plain: String = text.chars().filter(|c| !is_hidden(*c)).collect();
        let mut codes: Vec<String> =
            text.chars().filter(|c| is_hidden(*c)).map(|c| format!("U+{:04X}", c as u32)).collect();
        codes.dedup();
        let codes = say::joined(&codes, "and");
        let told = match plain.as_str() {
            "" => Diagnostic::new(*at, format!("a hidden character stands here ({codes})")),
            plain => Diagnostic::new(*at, format!("`{plain}` holds a hidden character ({codes})")),
        };
        out.push(told.help("take the hidden character out").fix("take it out", *at, plain));
    }
}
