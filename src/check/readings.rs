//! In how many ways a statement that cannot be read may have been meant.

use super::guess::Spot;
use super::mend::{Edits, Unreadable};
use crate::source::Span;

/// True when some other single change where reading stopped makes the statement readable too: a word or a sign too many
/// there, a sign or a word left out, one sign for another. `made` is the change that is thought of.
pub(super) fn other(spot: &Spot<'_>, statement: &Unreadable<'_>, made: &Edits) -> bool {
    let Spot { at, word, last, before, first, expected, .. } = *spot;
    let put = |at: Span, text: &str| vec![(at, text.to_owned())];
    let here = Span { end: at.start, ..at };
    let signs = || expected.iter().copied().filter(|e| !e.contains(char::is_alphanumeric));
    let keywords = || expected.iter().copied().filter(|e| e.starts_with(char::is_alphabetic) && !e.contains(' '));
    // A word that is a whole statement is none too many.
    let spare = [Span { start: before.end, ..at }, Span { end: at.start, ..last }];
    let spare = spare.into_iter().filter(|s| !(first || s.start == s.end)).map(|s| put(s, " "));
    let left_out = signs().chain(keywords()).map(|what| put(here, &format!(" {what} ")));
    let another = signs().filter(|_| !word.contains(char::is_alphanumeric)).map(|sign| put(at, sign));
    let thought = statement.mended(made);
    let mut all = spare.chain(left_out).chain(another);
    all.any(|edits| as_well(statement, &edits, made) && statement.mended(&edits) != thought)
}

/// True when a word that would be respelt reads with a blank in it too: two words run together.
pub(super) fn split(statement: &Unreadable<'_>, made: &Edits) -> bool {
    made.iter().any(|(at, _)| {
        let places = at.start + 1..at.end;
        places
            .map(|put| Span { start: put, end: put, ..*at })
            .any(|put| as_well(statement, &vec![(put, " ".to_owned())], made))
    })
}

/// True when no more mistakes are left after some edits than after others.
fn as_well(statement: &Unreadable<'_>, edits: &Edits, made: &Edits) -> bool {
    statement.left(edits).is_some_and(|now| statement.left(made).is_none_or(|left| now <= left))
}
