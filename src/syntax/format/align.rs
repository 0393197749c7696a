//! Columns, where a notebook would have them.

use super::lines::Line;
use super::outline::{Piece, Statement};
use crate::syntax::lexer::Tok;
use crate::syntax::registry;
use unicode_width::UnicodeWidthStr;

/// Lines that differ by more than this do not line up: the gap would be wider than the words.
const FURTHEST: usize = 24;
/// Blanks before a trailing comment.
const BEFORE_COMMENT: usize = 2;

/// What a statement lines up with, and the bytes of its words that stand before the column.
pub(super) fn column(statement: &Statement<'_>) -> Option<(&'static str, usize)> {
    let words = statement.pieces.iter().map_while(|p| match p {
        Piece::Word { text, kind, apart } => Some((*text, *kind, *apart)),
        _ => None,
    });
    let words: Vec<(&str, Tok, bool)> = words.collect();
    // Words before the column; one that ends a statement has no column behind it.
    let registered = words.first().filter(|w| w.1 == Tok::Word).and_then(|w| registry::column(w.0));
    let (key, count) = match (words.as_slice(), registered) {
        ([_, (_, Tok::Word, _), (_, Tok::Colon, _), ..], Some((key, count @ 3))) => (key, count),
        ([_, (_, Tok::Word | Tok::Text, _), ..], Some((key, count @ 2))) => (key, count),
        ([(_, Tok::Word | Tok::Text, _), (_, Tok::Colon, _), ..], _) => (":", 2),
        (_, Some((_, count @ 1))) => ("fact", count),
        ([(_, Tok::Number, _), (_, Tok::Word, _)], _) => ("slot", 1),
        ([(_, Tok::Number, _), (_, Tok::Word, false), (_, Tok::Word, _)], _) => ("slot", 2),
        _ => return None,
    };
    if count >= statement.pieces.len() {
        return None;
    }
    let bytes = words.iter().take(count).enumerate();
    Some((key, bytes.map(|(i, (text, _, apart))| text.len() + usize::from(*apart && i > 0)).sum()))
}

/// Pads the lines of each run with one key, so that what follows the column lines up.
pub(super) fn columns(lines: &mut [Line]) {
    let key = |line: &Line| line.column.map(|(key, _)| (key, line.level));
    for run in lines.chunk_by_mut(|a, b| key(a).is_some() && key(a) == key(b)) {
        let widths: Vec<usize> = run.iter().map(before).collect();
        let (least, most) = (widths.iter().min().copied().unwrap_or(0), widths.iter().max().copied().unwrap_or(0));
        if run.len() < 2 || most - least > FURTHEST {
            continue;
        }
        for (line, width) in run.iter_mut().zip(widths) {
            if let Some((_, at)) = line.column {
                line.text.insert_str(at, &" ".repeat(most - width));
            }
        }
    }
}

/// How wide the words before a line's column are.
fn before(line: &Line) -> usize {
    line.column.map_or(0, |(_, at)| line.text.get(..at).unwrap_or("").width())
}

/// The text of the lines; trailing comments of lines that stand together line up.
pub(super) fn comments(lines: Vec<Line>) -> String {
    let mut out = String::new();
    let goes_on = |a: &Line| a.text.ends_with(',') || a.text.ends_with("->");
    let together = |a: &Line, b: &Line| !a.text.is_empty() && !b.text.is_empty() && (a.level == b.level || goes_on(a));
    let width = |line: &Line| line.level * 2 + line.text.width();
    for run in lines.chunk_by(together) {
        let loose = run.iter().filter(|l| l.comment.as_ref().is_some_and(|(_, glued)| !glued));
        let widths: Vec<usize> = loose.map(width).collect();
        let (least, most) = (widths.iter().min().copied().unwrap_or(0), widths.iter().max().copied().unwrap_or(0));
        for line in run {
            if !line.text.is_empty() {
                out += &"  ".repeat(line.level);
                out += &line.text;
            }
            if let Some((comment, glued)) = &line.comment {
                let column = if most - least > FURTHEST { width(line) } else { most };
                let blanks = if *glued { 0 } else { column.saturating_sub(width(line)) + BEFORE_COMMENT };
                out += &" ".repeat(blanks);
                out += comment;
            }
            out.push('\n');
        }
    }
    out
}
