//! A table that was read off the unit (CSV, as `table` prints it), read back. Commas, semicolons and tabs part its columns;
//! an empty cell, `-` and `?` were not read. Beside the cells it may say who looked, when, and at which version.

use std::collections::{BTreeMap, BTreeSet};

use super::seen;
use crate::book::{Slot, SlotRange};
use crate::compare::beside;
use crate::compare::stored::{columns, memory};
use crate::compare::unit::{Holds, Unit};
use crate::ids::{ColumnId, SceneId};
use crate::settle::{Cell, CellKind, Value};
use crate::written::{cell, switch};
use crate::{Compiled, near};

/// What was read.
#[derive(Clone, Debug, Default)]
pub struct Readings {
    pub unit: Unit,
    /// For slots of which it is said: who looked, when, and at which version.
    pub said: BTreeMap<Slot, Said>,
    /// Rows without a slot: no unit stores them.
    pub passed: usize,
}

/// Who looked, when, and at which version, as typed; empty where nobody said.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Said {
    pub by: String,
    pub date: String,
    pub version: String,
}

/// The heads of what is said beside the cells.
pub const BESIDE: [&str; 3] = ["by", "date", "version"];

/// What a column of the text is.
enum Head {
    Slot,
    Scene,
    Cell(ColumnId),
    Beside(usize),
    /// What a switch inside the preset does, by its name.
    Switch(String),
    /// Nothing that a unit stores.
    Foot,
}

/// Reads a whole text. The error names every place that was not understood.
pub fn read(compiled: &Compiled, text: &str) -> Result<Readings, String> {
    let Some(range) = compiled.book.board.switcher.as_ref().and_then(|s| s.slots) else {
        return Err("the switcher has no slots: say `banks 1..8, switches 1..5` in `switcher`".to_owned());
    };
    let text = text.trim_start_matches('\u{feff}');
    let first = text.lines().next().unwrap_or_default();
    let count = |sign: char| first.matches(sign).count();
    let sign = if count(';') > count(',') { ';' } else { ',' };
    let sign = if count('\t') > count(sign) { '\t' } else { sign };
    let mut records = ::csv::ReaderBuilder::new()
        .delimiter(sign as u8)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes())
        .into_records();
    let mut wrong = Vec::new();
    let heads = match records.next() {
        Some(Ok(record)) => heads(compiled, &record, &mut wrong),
        _ => return Err("there is no table in the file".to_owned()),
    };
    if !wrong.is_empty() {
        return Err(wrong.join("\n"));
    }
    let columns = columns(compiled);
    let wants: BTreeMap<Slot, SceneId> = memory(compiled).into_iter().map(|row| (row.slot, row.scene)).collect();
    let mut out = Readings::default();
    let mut lines: BTreeMap<Slot, u64> = BTreeMap::new();
    for record in records {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                wrong.push(format!("it is no table: {e}"));
                break;
            }
        };
        let line = record.position().map_or(0, ::csv::Position::line);
        if record.iter().all(|field| field.trim().is_empty()) {
            continue;
        }
        if record.len() > heads.len() {
            wrong.push(format!("line {line} has more fields than the first line names"));
        }
        let field = |wanted: &dyn Fn(&Head) -> bool| {
            let at = heads.iter().position(wanted);
            at.and_then(|at| record.get(at)).map(str::trim).unwrap_or_default()
        };
        let shown = field(&|head| matches!(head, Head::Slot));
        if shown.is_empty() {
            out.passed += 1;
            continue;
        }
        let Some(slot) = slot(range, shown) else {
            wrong.push(format!("line {line}: `{shown}` is no slot of this switcher"));
            continue;
        };
        if let Some(before) = lines.insert(slot, line) {
            wrong.push(format!("line {line}: {shown} was read in line {before} already; leave one of them out"));
            continue;
        }
        let table = &compiled.table;
        let mut holds = Holds { cells: vec![None; table.cells.len()], ..Holds::default() };
        holds.name = Some(field(&|head| matches!(head, Head::Scene)).to_owned()).filter(|name| !name.is_empty());
        for (head, text) in heads.iter().zip(&record) {
            let text = text.trim();
            if let Head::Switch(name) = head
                && !cell::unsaid(text)
            {
                match beside::read(compiled, &columns, text) {
                    Some(does) => drop(holds.beside.switches.insert(name.clone(), does)),
                    None => wrong.push(format!(
                        "line {line} ({shown}), `switch-{name}`: `{text}` is nothing that a switch does; say it as \
                         `tipring table BOOK --format csv` prints it, or `nothing`"
                    )),
                }
            }
            let Head::Cell(at) = *head else { continue };
            let Some(column) = table.cells.list.get(at).filter(|_| !cell::unsaid(text)) else { continue };
            let expected = wants.get(&slot).map_or(Value::Unknown, |scene| table.stored(*scene, at));
            match (seen::read(&compiled.book.board, column, text, expected), holds.cells.get_mut(at.index())) {
                (Some(value), Some(cell)) => *cell = Some(value),
                _ => {
                    let may = values(column);
                    wrong.push(format!(
                        "line {line} ({shown}), `{}`: `{text}` is no value of it; say {may}",
                        column.name
                    ));
                }
            }
        }
        let said = |n: usize| field(&|head| matches!(head, Head::Beside(m) if *m == n)).to_owned();
        out.said.insert(slot, Said { by: said(0), date: said(1), version: said(2) });
        out.unit.slots.insert(slot, holds);
    }
    match (wrong.is_empty(), out.unit.slots.is_empty()) {
        (false, _) => Err(wrong.join("\n")),
        (_, true) => Err("no preset was read: no line names a slot".to_owned()),
        _ => Ok(out),
    }
}

/// A slot as the unit shows it, letters large or small.
pub fn slot(range: SlotRange, shown: &str) -> Option<Slot> {
    range.read(shown).or_else(|| range.read(&shown.to_uppercase())).or_else(|| range.read(&shown.to_lowercase()))
}

fn heads(compiled: &Compiled, record: &::csv::StringRecord, wrong: &mut Vec<String>) -> Vec<Head> {
    let cells = &compiled.table.cells.list;
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut out = Vec::new();
    let board = &compiled.book.board;
    let switch = |name: &str| switch::column(board, name).map(|switch| board.switches_named(1 << switch));
    for text in record {
        let name = text.trim().to_lowercase();
        if !name.is_empty() && !seen.insert(name.clone()) {
            wrong.push(format!("two columns are called `{}`", text.trim()));
        }
        let known = cells.position(|cell| cell.name.to_lowercase() == name);
        out.push(match (name.as_str(), known, BESIDE.iter().position(|b| *b == name)) {
            ("slot", ..) => Head::Slot,
            ("scene" | "name", ..) => Head::Scene,
            (_, Some(at), _) if matches!(cells.get(at).map(|c| c.kind), Some(CellKind::ByFoot { .. })) => Head::Foot,
            (_, Some(at), _) => Head::Cell(at),
            (.., Some(n)) => Head::Beside(n),
            (name, ..) if switch(name).is_some() => Head::Switch(switch(name).unwrap_or_default()),
            ("", ..) => Head::Foot,
            _ => {
                let names = cells.iter().map(|c| c.name.as_str()).chain(["slot", "scene"]);
                let meant =
                    near::nearest(text.trim(), names).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
                wrong.push(format!("the board has no cell called `{}`{meant}", text.trim()));
                Head::Foot
            }
        });
    }
    let as_printed = "the first line names the columns, as `tipring table BOOK --format csv` prints them";
    if !out.iter().any(|head| matches!(head, Head::Slot)) {
        wrong.push(format!("there is no column called `slot`: {as_printed}"));
    } else if !out.iter().any(|head| matches!(head, Head::Cell(_) | Head::Scene)) {
        wrong.push(format!("no column is a cell: {as_printed}"));
    }
    out
}

/// What may stand in a cell, in words.
pub fn values(cell: &Cell) -> &'static str {
    match cell.kind {
        CellKind::Loop(_) => "`1` (in) or `0` (out)",
        CellKind::Contact(_) => "`1` (closed), `0` (open), `pulse` or `stays`",
        CellKind::Taps { .. } | CellKind::Clock => "a tempo (`92 bpm`) or `stays`",
        CellKind::Output(_) => "`1` (on) or `0` (off)",
        CellKind::Guitar => "the number of the guitar input that is heard",
        CellKind::Order => {
            "the loops that stand in each other's places, in the order of the signal (`3-1`), or `wired`"
        }
        CellKind::Port(_) => "a position (`40 %`), `step 51`, `foot` or `stays`",
        CellKind::Trim(_) => "a trim in dB (`-2 dB`) or `step 12`",
        CellKind::Message { .. } if cell.steps > 0 => "a position (`40 %`), `step 51`, `foot` or `stays`",
        CellKind::Message { .. } => "a program as the device counts it, its state, or `stays`",
        CellKind::ByFoot { .. } => "nothing: the unit does not store it",
    }
}

/// The head of such a table for this board.
pub fn head(compiled: &Compiled) -> Vec<String> {
    let cells = columns(compiled).into_iter().filter_map(|c| compiled.table.cells.list.get(c.cell));
    let names = cells.map(|cell| cell.name.clone());
    ["slot", "scene"].into_iter().map(str::to_owned).chain(names).chain(BESIDE.map(str::to_owned)).collect()
}
