//! Edits of text: what the formatter, fixes, pinning and merging all consist of.

use crate::source::{Span, ends};

/// How the comment begins by which a merge tells of a conflict.
pub const CONFLICT: &str = "# conflict in ";

/// A text put in place of a stretch of another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    /// What it replaces; empty to insert.
    pub at: Span,
    /// The new text.
    pub text: String,
}

impl Edit {
    /// An edit.
    pub fn new(at: Span, text: impl Into<String>) -> Edit {
        Edit { at, text: text.into() }
    }
}

/// How the line before a place ends, else the next one: what is put there ends its lines so.
pub(super) fn end_near(text: &str, at: usize) -> &'static str {
    let end = |newline: usize, before: &str| {
        if before.get(..newline).is_some_and(|t| t.ends_with('\r')) { "\r\n" } else { "\n" }
    };
    let before = text.get(..at).unwrap_or(text);
    let near = before.rfind('\n').or_else(|| Some(before.len() + text.get(at..)?.find('\n')?));
    near.map_or("\n", |newline| end(newline, text))
}

/// Applies edits to a file's text, and leaves to the file what is its own: new lines end as those beside them do, and
/// the last line has an end if it had one.
pub fn rewrite(text: &str, mut edits: Vec<Edit>) -> String {
    for edit in edits.iter_mut().filter(|e| e.text.contains('\n')) {
        if end_near(text, edit.at.start as usize) == "\r\n" {
            edit.text = edit.text.replace("\r\n", "\n").replace('\n', "\r\n");
        }
    }
    let mut new = apply(text, &edits);
    let ended = text.is_empty() || text.ends_with(|c| c == '\n' || ends::is_odd(c));
    if !ended && new.ends_with('\n') {
        new.truncate(new.trim_end_matches(['\r', '\n']).len());
    }
    new
}

/// Applies the edits of one file to its text. Of two that overlap the later one is left out.
pub fn apply(text: &str, edits: &[Edit]) -> String {
    let mut edits: Vec<&Edit> = edits.iter().collect();
    edits.sort_by_key(|e| (e.at.start, e.at.end));
    let mut out = String::with_capacity(text.len());
    let mut at = 0usize;
    for edit in edits {
        let (start, end) = (edit.at.start as usize, edit.at.end as usize);
        let Some(before) = text.get(at..start).filter(|_| start >= at) else { continue };
        out.push_str(before);
        out.push_str(&edit.text);
        at = end;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    out
}
