//! An outline as lines.

use super::align;
use super::outline::{Block, Item, Piece, Statement};
use unicode_width::UnicodeWidthStr;

/// A block written on one line stays there up to this many columns.
const WIDEST: usize = 100;

/// A line to be written.
#[derive(Default)]
pub(super) struct Line {
    /// Levels of blocks around it.
    pub(super) level: usize,
    /// Its words.
    pub(super) text: String,
    /// The comment behind them, and whether it is glued on.
    pub(super) comment: Option<(String, bool)>,
    /// Lines of one key in a row line up; the place in `text` behind which they do.
    pub(super) column: Option<(&'static str, usize)>,
}

pub(super) fn write(items: &[Item<'_>]) -> String {
    let mut lines = Vec::new();
    write_items(items, 0, true, &mut lines);
    while lines.last().is_some_and(|l: &Line| l.text.is_empty() && l.comment.is_none()) {
        lines.pop();
    }
    align::columns(&mut lines);
    align::comments(lines)
}

fn write_items(items: &[Item<'_>], level: usize, joins: bool, lines: &mut Vec<Line>) {
    let mut join = false;
    for item in items {
        match item {
            Item::Empty => lines.push(Line::default()),
            Item::Comment(comment) => lines.push(Line { level, text: (*comment).to_owned(), ..Line::default() }),
            Item::Statement(statement) => {
                let from = lines.len();
                write_statement(statement, level, lines);
                // Joined statements share a line only as long as each fills no more than one.
                if join
                    && lines.len() == from + 1
                    && let (Some(line), Some(last)) = (lines.pop(), lines.last_mut())
                {
                    last.text += "; ";
                    last.text += &line.text;
                    (last.comment, last.column) = (line.comment, None);
                }
                join = joins && statement.joined && lines.len() <= from + 1;
                continue;
            }
        }
        join = false;
    }
}

/// The statement on one line; None when it was not written on one.
fn flat(statement: &Statement<'_>) -> Option<String> {
    let mut out = String::new();
    for piece in &statement.pieces {
        match piece {
            Piece::Word { text, apart, .. } => {
                if *apart && !out.is_empty() {
                    out.push(' ');
                }
                out.push_str(text);
            }
            Piece::Break(_) => return None,
            Piece::Block(block) => {
                out.push_str(" {");
                out += &inside(block)?;
                out.push_str(" }");
            }
        }
    }
    Some(out)
}

/// The inside of a block on one line.
fn inside(block: &Block<'_>) -> Option<String> {
    if block.items.is_empty() && block.comment.is_none() {
        return Some(String::new());
    }
    if block.tall {
        return None;
    }
    let parts = block.items.iter().map(|item| match item {
        Item::Statement(statement) if statement.comment.is_none() => flat(statement),
        _ => None,
    });
    Some(format!(" {}", parts.collect::<Option<Vec<String>>>()?.join("; ")))
}

fn write_statement(statement: &Statement<'_>, level: usize, lines: &mut Vec<Line>) {
    let comment = statement.comment.map(|(text, glued)| (text.to_owned(), glued));
    if let Some(text) = flat(statement).filter(|t| level * 2 + t.width() <= WIDEST || !has_block(statement)) {
        let column = align::column(statement);
        lines.push(Line { level, text, comment, column });
        return;
    }
    let mut line = Line { level, ..Line::default() };
    for piece in &statement.pieces {
        match piece {
            Piece::Word { text, apart, .. } => {
                if *apart && !line.text.is_empty() {
                    line.text.push(' ');
                }
                line.text += text;
            }
            Piece::Break(comment) => {
                line.comment = comment.map(|c| (c.to_owned(), false));
                lines.push(std::mem::replace(&mut line, Line { level: level + 1, ..Line::default() }));
            }
            Piece::Block(block) => {
                line.text += if line.text.is_empty() { "{" } else { " {" };
                line.comment = block.comment.map(|c| (c.to_owned(), false));
                if block.items.is_empty() && block.comment.is_none() {
                    line.text += " }";
                    continue;
                }
                lines.push(std::mem::take(&mut line));
                // One that only grew too long has a line for each.
                write_items(&block.items, level + 1, block.tall, lines);
                line = Line { level, text: "}".to_owned(), ..Line::default() };
            }
        }
    }
    line.comment = comment;
    lines.push(line);
}

fn has_block(statement: &Statement<'_>) -> bool {
    statement.pieces.iter().any(|p| matches!(p, Piece::Block(_)))
}
