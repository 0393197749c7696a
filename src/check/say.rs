//! How rules speak: lists, and pieces of the text.

use crate::source::{Files, Span};

/// The longest piece of a book that a message repeats, in characters.
const LONGEST: usize = 70;

/// "`a`, `b` or `c`".
pub(super) fn list(items: &[impl AsRef<str>], joint: &str) -> String {
    joined(&items.iter().map(|i| format!("`{}`", i.as_ref())).collect::<Vec<_>>(), joint)
}

/// So many members of a circle are named.
pub(super) const LONGEST_CIRCLE: usize = 20;

/// "`a` from `b` from `a`"; of a long circle, the first members and how many more there are.
pub(super) fn circle<'n>(names: impl ExactSizeIterator<Item = &'n str>, more: usize, joint: &str) -> String {
    let more = more + names.len().saturating_sub(LONGEST_CIRCLE);
    let mut shown: Vec<String> = names.take(LONGEST_CIRCLE).map(|n| format!("`{n}`")).collect();
    let first = shown.first().cloned();
    if more > 0 {
        shown.push(format!("{more} more"));
    }
    shown.extend(first);
    shown.join(joint)
}

/// The same for items that are ready.
pub(super) fn joined(items: &[String], joint: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} {joint} {last}", head.join(", ")),
    }
}

/// A list for a help line: at most five names, then how many more.
pub(super) fn some(items: &[impl AsRef<str>], joint: &str) -> String {
    const MOST: usize = 5;
    if items.len() <= MOST {
        return list(items, joint);
    }
    let mut shown: Vec<String> = items.iter().take(MOST - 1).map(|i| format!("`{}`", i.as_ref())).collect();
    shown.push(format!("{} more", items.len() + 1 - MOST));
    joined(&shown, joint)
}

/// The statement around some edits of one line, as it reads after them; None when it is too long to repeat.
pub(super) fn mended(files: &Files, edits: &[(Span, String)]) -> Option<String> {
    let (first, last) = (edits.first()?.0, edits.last()?.0);
    let text = &files.get(first.file)?.text;
    let before = text.get(..first.start as usize)?;
    let start = before.rfind(['\n', '{', '}', ';']).map_or(0, |i| i + 1);
    let rest = text.get(last.end as usize..)?;
    let end = last.end as usize + rest.find(['\n', '{', '}', ';', '#']).unwrap_or(rest.len());
    let (mut out, mut at) = (String::new(), start);
    for (span, new) in edits {
        out.push_str(text.get(at..span.start as usize)?);
        out.push_str(new);
        at = span.end as usize;
    }
    out.push_str(text.get(at..end)?);
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    (!out.is_empty() && out.chars().count() <= LONGEST && !out.contains('`')).then_some(out)
}

/// A current in milliampere, to a tenth.
pub(super) fn milli(ampere: f64) -> f64 {
    (ampere * 1e4).round() / 10.0
}
