//! A line's end that only some editors show: a carriage return alone, a form feed, a separator from a word processor.
//!
//! # On stage
//! One editor shows a statement on a line of its own, another shows it as the tail of a comment: two people look at one
//! file and trust two different books.
//!
//! # Way out
//! Put a real line's end there, or a blank where a comment or a text goes on. Until then each is read as a line's end,
//! but inside a text.
//!
//! # Fires
//! ```scene
//! scene bed { mute }\u{2028}song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { # the quiet one\u{D}mute }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay\u{B}draw" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }\u{D}
//! song "Quay" { bed }\u{D}
//! ```

use crate::check::{Diagnostic, Facts, Fix, How, Severity};
use crate::source::{SourceFile, Span};
use crate::syntax::fault::{Fault, Within};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (number, file) in facts.files.iter() {
        let odd = facts.reading.iter().filter_map(|fault| match fault {
            Fault::OddEnd { at, within } if at.file == number => Some((*at, *within)),
            _ => None,
        });
        // In a file without any other line's end these are its ends, behind comments too.
        let all = !file.text.contains('\n');
        let certain = |within: Within| within == Within::Statements || (all && within == Within::Comment);
        let (sure, unsure): (Vec<_>, Vec<_>) = odd.partition(|(_, within)| certain(*within));
        out.extend(ends(facts, file, &sure.into_iter().map(|(at, _)| at).collect::<Vec<Span>>()));
        out.extend(unsure.into_iter().map(|(at, within)| offered(facts, at, within)));
    }
}

/// Line ends between statements, told once for a file: a real one in their place reads the same.
fn ends(facts: &Facts<'_>, file: &SourceFile, found: &[Span]) -> Option<Diagnostic> {
    let (first, more) = found.split_first()?;
    let sign = sign(facts, *first);
    let told = Diagnostic::new(*first, format!("the line ends here with {sign}, which not every editor shows as its end"));
    let mut told = told.label(match more.len() {
        0 => "read as a line's end".to_owned(),
        1 => "read as a line's end, and so is 1 more in this file".to_owned(),
        more => format!("read as a line's end, and so are {more} more in this file"),
    });
    let end = if file.text.contains("\r\n") { "\r\n" } else { "\n" };
    let says = "put a real line's end".to_owned();
    told.fix = Some(Fix { says, how: How::Sign, edits: found.iter().map(|at| (*at, end.to_owned())).collect() });
    Some(told.help("put a real line's end there; `check --fix` does"))
}

/// One where only its owner knows what was meant.
fn offered(facts: &Facts<'_>, at: Span, within: Within) -> Diagnostic {
    let sign = sign(facts, at);
    if within == Within::Text {
        return Diagnostic::new(at, format!("this text holds {sign}, which some editors show as a line's end"))
            .help("put a blank there, or close the text before it");
    }
    Diagnostic::new(at, format!("the comment ends here with {sign}, which not every editor shows as its end"))
        .label("what follows is read as a line of its own")
        .help("begin a new line there when something new follows, or put a blank there when the comment goes on")
}

fn sign(facts: &Facts<'_>, at: Span) -> String {
    let c = facts.text(at).chars().next().unwrap_or_default();
    let name = match c {
        '\r' => "a carriage return alone",
        '\u{b}' => "a vertical tab",
        '\u{c}' => "a form feed",
        '\u{85}' => "a next-line sign",
        '\u{2028}' => "a line separator",
        _ => "a paragraph separator",
    };
    format!("{name} (U+{:04X})", c as u32)
}
