//! A table with some cells changed, as `table --format csv` prints it: what is wanted are the cells that differ.

use super::Wanted;
use crate::Compiled;
use crate::ids::{ColumnId, SceneId};
use crate::settle::why::column;
use crate::written::cell;
use crate::written::switch;

/// A wanted cell, and where in the table it stands: its line, and the name of its column.
#[derive(Clone, PartialEq, Debug)]
pub struct Asked {
    /// What is wanted.
    pub wanted: Wanted,
    /// The line, from 1.
    pub line: u64,
    /// What stands there.
    pub text: String,
}

/// What is wrong with a table.
#[derive(Clone, PartialEq, Debug)]
pub enum Bad {
    /// It is no CSV; why.
    Csv(String),
    /// It has no column `scene`, or no cell of the board.
    Head,
    /// A column that the board does not have, or twice.
    Column(String),
    /// A line names no scene of the book.
    Scene(u64, String),
    /// A line's slot holds another scene: the slot, and what it holds, if anything.
    Slot(u64, String, Option<String>),
    /// A cell cannot hold this: its line, its column, the text.
    Cell(u64, String, String),
    /// A switch inside the preset is to do something else: its line, its column.
    Switch(u64, String),
    /// Two lines are of one scene and want it otherwise: the lines, the scene, the column.
    Rows(u64, u64, String, String),
}

/// The cells of a table that hold something else than the book; or all that is wrong with it.
///
/// # Errors
/// Everything that could not be understood.
pub fn table(book: &Compiled, text: &str) -> Result<Vec<Asked>, Vec<Bad>> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new().flexible(false).from_reader(text.as_bytes());
    let head = reader.headers().cloned().map_err(|e| vec![Bad::Csv(e.to_string())])?;
    let mut bad = Vec::new();
    let mut columns: Vec<Option<ColumnId>> = Vec::new();
    let switches = switch::used(&book.book.board);
    for name in &head {
        let found = column(&book.table.cells, name.trim());
        let switch = switches.iter().any(|known| known == name.trim());
        if found.is_none() && !switch && !matches!(name.trim(), "slot" | "scene")
            || found.is_some() && columns.contains(&found)
        {
            bad.push(Bad::Column(name.to_owned()));
        }
        columns.push(found);
    }
    let at = |word: &str| head.iter().position(|name| name.trim() == word);
    let (slot, Some(scene)) = (at("slot"), at("scene")) else { return Err(vec![Bad::Head]) };
    if columns.iter().all(Option::is_none) {
        return Err(vec![Bad::Head]);
    }
    let mut out: Vec<Asked> = Vec::new();
    let mut rows: Vec<(u64, SceneId, Vec<Option<Asked>>)> = Vec::new();
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                bad.push(Bad::Csv(e.to_string()));
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let name = record.get(scene).unwrap_or("").trim();
        let Some(id) = book.book.show.scenes.position(|s| s.name == name) else {
            bad.push(Bad::Scene(line, name.to_owned()));
            continue;
        };
        let does = if switches.is_empty() { Vec::new() } else { switch::plain(&book.book, &book.table, id) };
        for (name, text) in
            head.iter().map(str::trim).zip(&record).filter(|(name, _)| switches.iter().any(|s| s == name))
        {
            let is = does.iter().find(|(of, _)| of == name).map_or(switch::NOTHING, |(_, says)| says);
            if !cell::unsaid(text.trim()) && text.trim() != is {
                bad.push(Bad::Switch(line, name.to_owned()));
            }
        }
        if let Some(slot) = slot.and_then(|at| record.get(at)).map(str::trim).filter(|slot| !slot.is_empty()) {
            let range = book.book.board.switcher.as_ref().and_then(|s| s.slots);
            let read = range.and_then(|r| r.read(slot));
            let held = || book.presets.iter().filter(|p| read.is_some() && p.slot == read);
            if !held().any(|p| p.scene == id) {
                let holds = held().next().and_then(|p| book.book.show.scene(p.scene)).map(|s| s.name.to_string());
                bad.push(Bad::Slot(line, slot.to_owned(), holds));
                continue;
            }
        }
        let cells = columns.iter().zip(&record).map(|(cell, text)| {
            let (cell, text) = (*cell.as_ref()?, text.trim());
            read(book, id, cell, text).map_or_else(
                || {
                    let column = book.table.cells.list.get(cell).map_or("", |c| &c.name);
                    bad.push(Bad::Cell(line, column.to_owned(), text.to_owned()));
                    None
                },
                |wanted| wanted.map(|wanted| Asked { wanted, line, text: text.to_owned() }),
            )
        });
        rows.push((line, id, cells.collect()));
    }
    for (at, (line, id, cells)) in rows.iter().enumerate() {
        let twin = rows.iter().take(at).find(|(_, other, _)| other == id);
        for (number, cell) in cells.iter().enumerate() {
            let before = twin.map(|(_, _, cells)| cells.get(number).and_then(Option::as_ref).map(|a| a.wanted.value));
            if let (Some(before), Some((other, ..))) = (before, twin)
                && before != cell.as_ref().map(|a| a.wanted.value)
            {
                let name = book.book.show.scene(*id).map_or(String::new(), |s| s.name.to_string());
                bad.push(Bad::Rows(*other, *line, name, head.get(number).unwrap_or("").to_owned()));
            }
        }
        if twin.is_none() {
            out.extend(cells.iter().flatten().cloned());
        }
    }
    if bad.is_empty() { Ok(out) } else { Err(bad) }
}

/// What a cell's text wants: nothing where it is what the book prints, or nothing is said; None for what it cannot hold.
fn read(book: &Compiled, scene: SceneId, at: ColumnId, text: &str) -> Option<Option<Wanted>> {
    if cell::unsaid(text) {
        return Some(None);
    }
    let column = book.table.cells.list.get(at)?;
    let held = cell::shown(&book.book.board, column, book.table.stored(scene, at));
    if held == text {
        return Some(None);
    }
    let value = cell::read(&book.book.board, column, text)?;
    // As it is stored in other words: `40.0` for `40`.
    let same = value == book.table.stored(scene, at) || value == book.table.value(scene, at);
    Some((!same).then_some(Wanted { scene, cell: at, value, said: None }))
}
