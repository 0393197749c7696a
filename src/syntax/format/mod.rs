//! One canonical look. What was written stays, comments with it; only what lies between the tokens changes.
//!
//! Two blanks a level; at most one empty line; a block stays on its line when it was written on one and fits;
//! columns stand below each other where a notebook's would: trailing comments, names of like statements, states.

mod align;
mod ends;
mod gaps;
mod lines;
mod outline;

use super::edit::{Edit, apply};
use super::fault::Fault;
use crate::source::Span;

/// Why a text was left as it is.
#[derive(Clone, PartialEq, Debug)]
pub enum Refusal {
    /// It cannot be read whole.
    Unread(Vec<Fault>),
    /// What came out does not read as what went in: a mistake of this tool.
    Unproved,
}

/// The edits that give a text its canonical look; none when it has it already.
///
/// Proved before they are given: the new text reads as the same tree, with the same words and comments.
pub fn format(file: u32, text: &str) -> Result<Vec<Edit>, Refusal> {
    let (tree, faults) = super::parse(file, text);
    // A comment glued to a word may be a mistake, and is left glued for its owner to see.
    let unread: Vec<Fault> = faults.into_iter().filter(|f| !matches!(f, Fault::HashGlued { .. })).collect();
    if !unread.is_empty() {
        return Err(Refusal::Unread(unread));
    }
    let old = gaps::read(text);
    let new = lines::write(&outline::read(text, &old, &tree));
    let written = gaps::read(&new);
    let same_words = old.words(text).eq(written.words(&new)) && old.comments(text).eq(written.comments(&new));
    let between = old.between(text).zip(written.between(&new));
    let edits: Vec<Edit> = between
        .map(|((start, end, had), (_, _, has))| (start, end, had, ends::kept(had, has, (start, end), text)))
        .filter(|(_, _, had, has)| had != has)
        .map(|(start, end, _, has)| Edit::new(Span::new(file, start, end), has))
        .collect();
    let new = apply(text, &edits);
    let (again, _) = super::parse(file, &new);
    if same_words && tree.same(text, &again, &new) { Ok(edits) } else { Err(Refusal::Unproved) }
}
