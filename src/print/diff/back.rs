//! What was read off the unit, told: what must be set, the songs that it touches, and what was not read.

use super::page::{Line, Section, Tone, blocks};
use super::{inside, todo, words};
use crate::Compiled;
use crate::compare::back::{Back, Unread, Wrong};
use crate::compare::stored::Column;
use crate::ids::ColumnId;
use crate::print::doc::{Block, Doc, named};

/// The report. `passed` lines of the table named no slot.
pub fn doc(compiled: &Compiled, back: &Back, passed: usize) -> Doc {
    let mut out = vec![Block::Para(named(&lead(back)))];
    out.extend(blocks(wrong(compiled, back)));
    out.extend(blocks(inside::slots(compiled, &back.switched, "To set inside the presets")));
    out.extend(blocks(touched(back)));
    out.extend(blocks(unread(compiled, back)));
    out.extend(blocks(beside(compiled, back, passed)));
    Doc::report(compiled, "read back from the unit", out)
}

/// What came of it in a sentence. All of it is right only where all of it was read.
pub fn lead(back: &Back) -> String {
    let missing: usize = back.unread.iter().map(|u| u.cells.len()).sum();
    let (right, wrong) = (back.right, back.count());
    let (all, presets) = (words::count(right, "thing"), words::count(back.unread.len(), "preset"));
    let seen = match back.unseen.len() {
        0 => String::new(),
        n => format!("; what switches do inside {} was not read", words::count(n, "preset")),
    };
    let says = match (wrong, missing) {
        (0, missing) if right == 0 && missing > 0 => {
            format!("nothing that is heard was read: {} in {presets}", words::count(missing, "cell"))
        }
        (0, 0) if !seen.is_empty() => format!("all cells that are heard were read, and are as they should be: {all}"),
        (0, 0) => format!("all that is heard was read, and is as it should be: {all}"),
        (0, _) => {
            format!("what was read is as it should be: {all}; {} in {presets} not read", words::count(missing, "cell"))
        }
        (_, 0) => format!("{} wrong, {right} right", words::count(wrong, "thing")),
        _ => {
            let missing = words::count(missing, "cell");
            format!("{} wrong, {right} right; {missing} in {presets} not read", words::count(wrong, "thing"))
        }
    };
    says + &seen
}

/// What to set, as a list of a diff says it.
fn wrong(compiled: &Compiled, back: &Back) -> Section {
    let mut lines = Vec::new();
    for wrong in &back.wrong {
        let songs = match wrong.songs.len() {
            0 => "in no song".to_owned(),
            n => format!("in {}", words::count(n, "song")),
        };
        let (slot, name) = (words::slot(compiled, wrong.work.slot), words::scene(compiled, wrong.work.now));
        lines.push(Line::ticked(0, format!("{slot} `{name}`, {songs}")));
        lines.extend(todo::deeds((compiled, compiled), &wrong.work));
    }
    let lead = "What is heard by most songs first; of as many songs, slot by slot. What is not listed stays as it is.";
    Section { title: "To program".to_owned(), lead: lead.to_owned(), lines }
}

fn touched(back: &Back) -> Section {
    let mut songs: Vec<&String> = back.wrong.iter().flat_map(|w| &w.songs).collect();
    songs.sort();
    songs.dedup();
    let lines = songs.into_iter().map(|song| Line::new(0, Tone::Plain, format!("\"{song}\""))).collect();
    Section { title: "Touched: songs".to_owned(), lead: String::new(), lines }
}

fn unread(compiled: &Compiled, back: &Back) -> Section {
    let line = |unread: &Unread| {
        let (slot, name) = (words::slot(compiled, unread.slot), words::scene(compiled, unread.scene));
        let name_of = |cell: &ColumnId| compiled.table.cells.list.get(*cell).map_or("?", |c| c.name.as_str());
        let cells: Vec<&str> = unread.cells.iter().map(name_of).collect();
        let what = if unread.whole { String::new() } else { format!(": {}", cells.join(", ")) };
        Line::ticked(0, format!("{slot} `{name}`{what}"))
    };
    let lines = back.unread.iter().map(line).collect();
    Section { title: "Not read".to_owned(), lead: "Of these nobody knows whether they are right.".to_owned(), lines }
}

fn beside(compiled: &Compiled, back: &Back, passed: usize) -> Section {
    let mut lines = Vec::new();
    if !back.extra.is_empty() {
        let slots: Vec<String> = back.extra.iter().map(|slot| words::slot(compiled, *slot)).collect();
        lines.push(Line::new(
            0,
            Tone::Plain,
            format!("the book fills no slot {}: what was read there does not matter", slots.join(", ")),
        ));
    }
    if compiled.book.board.has_rows() {
        let says = "a second row that the unit has and the book has not was not looked for".to_owned();
        lines.push(Line::new(0, Tone::Plain, says));
    }
    if passed > 0 {
        let says = format!("{} of the table without a slot: no unit stores them", words::count(passed, "line"));
        lines.push(Line::new(0, Tone::Plain, says));
    }
    Section { title: "Beside it".to_owned(), lead: String::new(), lines }
}

/// A record a cell that is wrong, then one a cell that was not read (RFC 4180).
pub fn csv(compiled: &Compiled, back: &Back) -> String {
    let name = |cell: ColumnId| compiled.table.cells.list.get(cell).map_or(String::new(), |c| c.name.clone());
    let mut records = Vec::new();
    for wrong in &back.wrong {
        let work = &wrong.work;
        let record = |cell: String, is: String, wants: String| {
            let (slot, scene) = (words::slot(compiled, work.slot), words::scene(compiled, work.now).to_owned());
            [slot, scene, wrong.songs.len().to_string(), cell, is, wants]
        };
        for edit in &work.edits {
            let (is, wants) = words::values(compiled, compiled, edit);
            records.push(record(name(edit.cell), is.unwrap_or_else(|| "something else".to_owned()), wants));
        }
        if let Some(label) = &work.label {
            records.push(record("name".to_owned(), "something else".to_owned(), label.clone()));
        }
    }
    for one in &back.switched {
        let (slot, scene) = (words::slot(compiled, one.slot), words::scene(compiled, one.scene).to_owned());
        let [cell, wants] = inside::told(compiled, one);
        records.push([slot, scene, String::new(), cell, "something else".to_owned(), wants]);
    }
    for unread in &back.unread {
        for cell in &unread.cells {
            let (slot, scene) = (words::slot(compiled, unread.slot), words::scene(compiled, unread.scene).to_owned());
            records.push([slot, scene, String::new(), name(*cell), "not read".to_owned(), String::new()]);
        }
    }
    crate::print::csv::records(&["slot", "scene", "songs", "cell", "is", "should be"], records)
}

/// Where something is wrong: `1.3 `solo`, loop-2`.
pub fn place(compiled: &Compiled, wrong: &Wrong, cell: Option<ColumnId>) -> String {
    let (slot, name) = (words::slot(compiled, wrong.work.slot), words::scene(compiled, wrong.work.now));
    let cell = cell.and_then(|cell| compiled.table.cells.list.get(cell));
    let cell = cell.map_or(String::new(), |cell| format!(", {}", cell.name));
    format!("{slot} `{name}`{cell}")
}

/// What a cell is, as a list names it: `loop 2 (RDE)`, `remote 1 tip (moss voice)`.
pub fn what(compiled: &Compiled, column: &Column) -> String {
    words::part(compiled, column.wire, column.cell)
}
