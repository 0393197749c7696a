//! A `#` glued to a word outside quotes, as in `F#`: it starts a comment, and the rest of the line is not read.
//!
//! # On stage
//! A tuning or a chord loses its sharp, and whatever else stood on the line is silently gone.
//!
//! # Way out
//! Put the text in quotes, or a blank before the `#` when a comment is meant.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; knob key F#
//! }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" {
//!   bed# the quiet one
//! }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute } # the F# one
//! song "Quay in F#" { bed }#last
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::source::Span;
use crate::syntax::fault::Fault;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        let Fault::HashGlued { at } = fault else { continue };
        let word = facts.text(*at);
        let told = Diagnostic::new(*at, format!("the rest of the line after `{word}` is read as a comment"))
            .help(format!("put `\"{word}\"` in quotes, or a blank before `#` when a comment is meant"));
        // A note of the scale surely wants its sharp; anything else keeps its meaning with a blank.
        let note = word.len() == 2 && word.starts_with(|c: char| matches!(c.to_ascii_uppercase(), 'A'..='G'));
        let before = Span { start: at.end.saturating_sub(1), end: at.end.saturating_sub(1), ..*at };
        out.push(if note { told } else { told.fix(How::Offer, "put a blank before `#`", before, " ") });
    }
}
