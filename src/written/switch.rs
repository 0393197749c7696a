//! How the switches inside presets are written in tables, and what was meant by what is read back.

use super::cell;
use crate::book::{Board, Book};
use crate::ids::{ColumnId, SceneId};
use crate::settle::Table;
use crate::settle::inside::switches;

/// A switch of a preset: its name, whether it only holds, and each cell that it moves with what it brings and what it
/// brings back, as tables print them.
pub struct Switch {
    /// What it is called.
    pub name: String,
    /// It acts as long as the foot stays.
    pub holds: bool,
    /// The cell's column, there, and back.
    pub moves: Vec<(ColumnId, String, String)>,
}

/// How it acts, in a word.
pub fn word(holds: bool) -> &'static str {
    if holds { "holds" } else { "toggles" }
}

/// The switches of a scene's preset.
pub fn of(book: &Book, table: &Table, scene: SceneId) -> Vec<Switch> {
    let shown = |c: ColumnId, value| {
        let column = table.cells.list.get(c);
        column.map_or(String::new(), |column| cell::shown(&book.board, column, value))
    };
    let one = |(switch, holds, moved): (u8, bool, Vec<_>)| Switch {
        name: book.board.switches_named(1 << switch),
        holds,
        moves: moved.into_iter().map(|(c, there)| (c, shown(c, there), shown(c, table.value(scene, c)))).collect(),
    };
    switches(book, table, scene).into_iter().map(one).collect()
}

/// The same by the names of columns: `toggles loop-1 1 back 0`.
pub fn plain(book: &Book, table: &Table, scene: SceneId) -> Vec<(String, String)> {
    let says = |switch: Switch| {
        let moves = switch.moves.iter().filter_map(|(c, there, back)| {
            let column = table.cells.list.get(*c)?;
            Some(format!("{} {there} back {back}", column.name))
        });
        (format!("{COLUMN}{}", switch.name), written(switch.holds, moves))
    };
    of(book, table, scene).into_iter().map(says).collect()
}

/// `toggles loop-1 1 back 0; output-2 0 back 1`, of such pieces.
pub fn written(holds: bool, moves: impl Iterator<Item = String>) -> String {
    format!("{} {}", word(holds), moves.collect::<Vec<_>>().join("; "))
}

/// A cell that a switch moves, as tables write it: the column's name, there, and back.
pub type Move<'t> = (&'t str, &'t str, &'t str);

/// Whether a switch only holds, and what it moves; None for words that are written otherwise.
pub fn parts(text: &str) -> Option<(bool, Vec<Move<'_>>)> {
    let (word, moves) = text.split_once(' ').filter(|(word, _)| matches!(*word, "toggles" | "holds"))?;
    let moved = moves.split("; ").map(|one| {
        let (name, values) = one.trim().split_once(' ')?;
        let (there, back) = values.split_once(" back ")?;
        Some((name, there, back))
    });
    Some((word == "holds", moved.collect::<Option<_>>()?))
}

/// How the name of such a column begins; the switch's own name follows.
pub const COLUMN: &str = "switch-";

/// What a column has where a switch does nothing.
pub const NOTHING: &str = "nothing";

/// The switch that a column is of, by the column's name, letters large or small.
pub fn column(board: &Board, name: &str) -> Option<u8> {
    let name = name.strip_prefix(COLUMN)?;
    (0..board.inside().1 as u8).find(|switch| board.switches_named(1 << switch).eq_ignore_ascii_case(name))
}

/// The switches that work inside presets, by name.
pub fn names(board: &Board) -> Vec<String> {
    (0..board.inside().1).map(|switch| board.switches_named(1 << switch)).collect()
}

/// The columns of the switches that work inside presets.
pub fn used(board: &Board) -> Vec<String> {
    names(board).into_iter().map(|name| format!("{COLUMN}{name}")).collect()
}
