//! A character that cannot be seen: a blank of no width, a control, or a sign that turns the direction of writing.
//!
//! # On stage
//! Two names that look the same are not, or a line reads otherwise than it is printed.
//!
//! # Way out
//! Take it out; it usually came with a text copied from a web page. What a script or an emoji needs may stay in texts
//! and comments: joiners between Arabic or Indic letters, the form of an emoji.
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
//! ```scene
//! scene bed { mute } # \u{1B}[8mthe quiet one
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene été { mute }
//! song "Дом" { été, note "क्\u{200D}ष می\u{200C}خواهم ☀\u{FE0F}" }
//! ```

use crate::check::{Diagnostic, Facts, Fix, How, Severity, say};
use crate::source::Span;
use crate::syntax::fault::Fault;
use crate::syntax::hidden::{is_hidden, strays};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::Hidden { at } = fault else { continue };
        let text = facts.text(*at);
        let word = text.starts_with(|c: char| c.is_alphanumeric() || is_hidden(c));
        let hidden: Vec<(usize, char)> =
            if word { text.char_indices().filter(|(_, c)| is_hidden(*c)).collect() } else { strays(text).collect() };
        let mut codes: Vec<String> = hidden.iter().map(|(_, c)| format!("U+{:04X}", *c as u32)).collect();
        codes.sort_unstable();
        codes.dedup();
        let codes = say::joined(&codes, "and");
        let plain: String =
            text.char_indices().filter(|(i, _)| hidden.iter().all(|(at, _)| at != i)).map(|(_, c)| c).collect();
        let mut told = match plain.as_str() {
            "" => Diagnostic::new(*at, format!("a hidden character stands here ({codes})")),
            comment if comment.starts_with('#') => {
                Diagnostic::new(*at, format!("this comment holds a hidden character ({codes})"))
            }
            plain => Diagnostic::new(*at, format!("`{plain}` holds a hidden character ({codes})")),
        };
        let span = |(i, c): &(usize, char)| {
            let start = at.start + *i as u32;
            Span { start, end: start + c.len_utf8() as u32, ..*at }
        };
        let edits = hidden.iter().map(|found| (span(found), String::new())).collect();
        told.fix = Some(Fix { says: "take it out".to_owned(), how: How::Sign, edits });
        out.push(told.help("take the hidden character out"));
    }
}
