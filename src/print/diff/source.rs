//! The text diff of the files themselves, by lines, and by words inside lines.

use similar::{ChangeTag, TextDiff};

use crate::source::Files;

/// Lines around a change.
const AROUND: usize = 2;

/// Files of both books by name, each with its differing lines; shipped descriptions left out.
///
/// Words that differ inside a line are in reverse video with `colour`; without, a line of `^` below points at them.
pub fn words(old: &Files, new: &Files, colour: bool) -> String {
    let mut out = String::new();
    for (was, now) in pairs(old, new) {
        let (a, b) = (was.map_or("", |f| f.1), now.map_or("", |f| f.1));
        if a != b {
            let name = |side: Side<'_>| side.map_or("(no such file)".to_owned(), |f| f.0.to_owned());
            out += &format!("--- {}\n+++ {}\n", name(was), name(now));
            file(&mut out, a, b, colour);
        }
    }
    out
}

fn file(out: &mut String, old: &str, new: &str, colour: bool) {
    let diff = TextDiff::from_lines(old, new);
    for group in diff.grouped_ops(AROUND) {
        if let Some(first) = group.first() {
            *out += &format!("@@ line {} → line {} @@\n", first.old_range().start + 1, first.new_range().start + 1);
        }
        for change in group.iter().flat_map(|op| diff.iter_inline_changes(op)) {
            let (sign, code) = match change.tag() {
                ChangeTag::Delete => ('-', "31"),
                ChangeTag::Insert => ('+', "32"),
                ChangeTag::Equal => (' ', ""),
            };
            let mut line = String::new();
            let mut points = String::new();
            for (differs, text) in change.iter_strings_lossy() {
                let text = text.trim_end_matches(['\n', '\r']);
                let mark = if differs && sign != ' ' { "^" } else { " " };
                points += &mark.repeat(unicode_width::UnicodeWidthStr::width(text));
                line += &match differs && colour {
                    true => format!("\u{1b}[7m{text}\u{1b}[27m"),
                    false => text.to_owned(),
                };
            }
            match colour && !code.is_empty() {
                true => *out += &format!("\u{1b}[{code}m{sign} {line}\u{1b}[0m\n"),
                false => *out += &format!("{sign} {line}\n"),
            }
            let points = points.trim_end();
            if !colour && !points.is_empty() {
                *out += &format!("? {points}\n");
            }
        }
    }
}

/// A file's path and text, if there is one.
pub type Side<'f> = Option<(&'f str, &'f str)>;

/// Files of one name, old and new.
pub fn pairs<'f>(old: &'f Files, new: &'f Files) -> Vec<(Side<'f>, Side<'f>)> {
    let own = |files: &'f Files| -> Vec<(&'f str, &'f str)> {
        files.iter().filter(|(_, f)| !f.shipped).map(|(_, f)| (f.path.as_str(), f.text.as_str())).collect()
    };
    let tail = |path: &str| path.rsplit('/').next().unwrap_or(path).to_owned();
    let (old, new) = (own(old), own(new));
    if let ([was], [now]) = (old.as_slice(), new.as_slice()) {
        return vec![(Some(*was), Some(*now))];
    }
    let mut out: Vec<(Side<'f>, Side<'f>)> = Vec::new();
    for was in &old {
        out.push((Some(*was), new.iter().find(|now| tail(now.0) == tail(was.0)).copied()));
    }
    let alone = new.iter().filter(|now| !old.iter().any(|was| tail(was.0) == tail(now.0)));
    out.extend(alone.map(|now| (None, Some(*now))));
    out.sort();
    out
}
