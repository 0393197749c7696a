//! Whether mends did what they say and nothing else: the book before and after them, compared.

use std::collections::{BTreeMap, BTreeSet};

use super::Mend;
use crate::Compiled;
use crate::check::Severity;
use crate::edit::kept;
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// True when the mended errors are gone and none is new, the mended lines can be read whole, every word that was read is
/// read as the same, and every cell that was known holds what it held.
pub(super) fn holds(before: &Compiled, mends: &[Mend<'_>], after: &Compiled) -> bool {
    rid(before, mends, after) && whole(mends, after) && words(before, mends, after) && kept(before, after)
}

/// What else cannot be read on a line, or straight before or behind it, may be a piece of what was guessed at.
fn whole(mends: &[Mend<'_>], after: &Compiled) -> bool {
    let line = |book: &Compiled, at: Span| (at.file, book.files.place(at).line);
    let unread: BTreeSet<(u32, u32)> =
        after.diagnostics().iter().filter(|d| d.code == "syntax").map(|d| line(after, d.at)).collect();
    if unread.is_empty() {
        return true;
    }
    let edits = |(d, fix): &Mend<'_>| {
        let guessed = d.code == "syntax";
        fix.edits.iter().map(|(at, new)| (*at, new.len(), guessed)).collect::<Vec<_>>()
    };
    let mut edits: Vec<(Span, usize, bool)> = mends.iter().flat_map(edits).collect();
    edits.sort_unstable();
    let mut now = (0, 0i64);
    edits.iter().all(|(at, new, guessed)| {
        let moved = if now.0 == at.file { now.1 } else { 0 };
        now = (at.file, moved + *new as i64 - i64::from(at.end - at.start));
        let start = (i64::from(at.start) + moved) as u32;
        let (file, line) = line(after, Span::new(at.file, start, start));
        !*guessed || unread.range((file, line.saturating_sub(1))..=(file, line + 1)).next().is_none()
    })
}

fn rid(before: &Compiled, mends: &[Mend<'_>], after: &Compiled) -> bool {
    let mut left: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut gone = BTreeMap::new();
    let error = |d: &&crate::check::Diagnostic| d.severity == Severity::Error;
    for d in before.diagnostics().iter().filter(error) {
        *left.entry((d.code, &d.message)).or_insert(0) += 1;
    }
    for (d, _) in mends.iter().filter(|(d, _)| error(d)) {
        *gone.entry((d.code, d.message.as_str())).or_insert(0) += 1;
    }
    for (key, count) in gone {
        if let Some(left) = left.get_mut(&key) {
            *left -= count.min(*left);
        }
    }
    after.diagnostics().iter().filter(error).all(|d| match left.get_mut(&(d.code, d.message.as_str())) {
        Some(count) if *count > 0 => {
            *count -= 1;
            true
        }
        _ => false,
    })
}

/// A word as it was read: what it stands in, what it is, its letters.
type Word<'c> = (Kind, Kind, &'c str);

fn words(before: &Compiled, mends: &[Mend<'_>], after: &Compiled) -> bool {
    let mut edits: Vec<Span> = mends.iter().flat_map(|(_, fix)| fix.edits.iter().map(|(at, _)| *at)).collect();
    edits.sort_unstable();
    let mended = |at: Span| {
        let next = edits.partition_point(|e| (e.file, e.end) <= (at.file, at.start));
        edits.get(next).is_some_and(|e| e.file == at.file && e.start < at.end)
    };
    before.files.iter().filter(|(_, file)| !file.shipped).all(|(number, file)| {
        let Some(now) = after.files.get(number).filter(|now| now.path == file.path) else { return false };
        if now.text == file.text {
            return true;
        }
        let read = read(before, number, &mended);
        let mut then = read_all(after, number).into_iter();
        read.into_iter().all(|word| then.any(|w| w == word))
    })
}

fn read<'c>(book: &'c Compiled, file: u32, mended: &dyn Fn(Span) -> bool) -> Vec<Word<'c>> {
    let mut out = Vec::new();
    if let (Some(tree), Some(file)) = (book.trees.get(file as usize), book.files.get(file)) {
        tree.statements(&file.text).for_each(|v| gather(v, v.kind(), mended, &mut out));
    }
    out
}

fn read_all(book: &Compiled, file: u32) -> Vec<Word<'_>> {
    read(book, file, &|_| false)
}

fn gather<'c>(view: View<'c>, parent: Kind, mended: &dyn Fn(Span) -> bool, out: &mut Vec<Word<'c>>) {
    if view.kind() == Kind::Broken {
        return;
    }
    let mut leaf = true;
    // A statement that breaks off may have been read as something else up to there.
    let last = view.children().last();
    if last.is_some_and(|c| c.kind() == Kind::Broken && c.span().end >= view.span().end) {
        return;
    }
    for child in view.children() {
        leaf = false;
        gather(child, view.kind(), mended, out);
    }
    if leaf && !mended(view.span()) {
        out.push((parent, view.kind(), view.text()));
    }
}
