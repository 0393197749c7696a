//! What may be mended unasked, by the kind of mend alone.
//!
//! A line that cannot be read may mean anything, so such lines come first, and the names are bound anew before anything
//! else is mended; what stands behind a glued `#` may belong to its line, so that line is left alone. Nothing is taken
//! out: what seems idle may wait for what is missing, and a line left out leaves no error behind.

use std::collections::BTreeSet;

use super::Mend;
use super::spoken::Spoken;
use crate::Compiled;
use crate::check::{Diagnostic, Fix, How};
use crate::source::Span;

/// A line that cannot be read keeps others waiting for their mends.
pub(super) fn waiting(book: &Compiled) -> bool {
    let waits = |fix: &Fix| matches!(fix.how, How::Figure | How::Renamed | How::Name);
    unread(book) && book.diagnostics().iter().any(|d| d.fix.as_ref().is_some_and(waits))
}

fn unread(book: &Compiled) -> bool {
    book.diagnostics().iter().any(|d| d.code == "syntax")
}

/// The mends that may be made now.
pub(super) fn mends(book: &Compiled) -> Vec<Mend<'_>> {
    let unread = unread(book);
    let carried: Vec<Mend<'_>> = book.diagnostics().iter().filter_map(|d| Some((d, d.fix.as_ref()?))).collect();
    let spoken = Spoken::of(book, &carried);
    let line = |at: Span| (at.file, book.files.place(at).line);
    let misspelt = |fix: &Fix| fix.edits.iter().all(|(at, new)| spoken.misspelt(*at, book.files.text(*at), new));
    let respelt = |fix: &Fix| fix.edits.iter().all(|(at, new)| spoken.respelt(*at, book.files.text(*at), new));
    // A sign that got into a name leaves two names, and the other one stands right behind, unknown too.
    let odd = |d: &&Diagnostic| d.code == "unknown-name" && !d.fix.as_ref().is_some_and(misspelt);
    let pieces: BTreeSet<(u32, u32)> = book.diagnostics().iter().filter(odd).map(|d| line(d.at)).collect();
    let torn = |(file, at): (u32, u32)| pieces.range((file, at.saturating_sub(1))..=(file, at + 1)).next().is_some();
    let may = |(d, fix): &Mend<'_>| match fix.how {
        How::Sign => true,
        How::Word => respelt(fix),
        How::Figure | How::Renamed => !unread,
        How::Name => !unread && misspelt(fix) && !torn(line(d.at)),
        How::Offer => false,
    };
    let glued: BTreeSet<(u32, u32)> =
        book.diagnostics().iter().filter(|d| d.code == "hash-glued").map(|d| line(d.at)).collect();
    let whole = |(_, fix): &Mend<'_>| glued.is_empty() || !fix.edits.iter().any(|(at, _)| glued.contains(&line(*at)));
    let ours = |(_, fix): &Mend<'_>| {
        let file = |at: Span| book.files.get(at.file);
        // A night's book leaves the book that it amends as it is.
        let base = |at: Span| book.book.night.as_ref().is_some_and(|night| night.file != at.file);
        fix.edits.iter().all(|(at, _)| !base(*at) && file(*at).is_some_and(|f| !f.shipped && f.not_utf8.is_none()))
    };
    carried.into_iter().filter(ours).filter(whole).filter(may).collect()
}
