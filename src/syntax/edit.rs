//! Edits of text: what the formatter, fixes, pinning and merging all consist of.

use crate::source::Span;

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
