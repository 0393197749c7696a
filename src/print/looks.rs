//! What is looked at on the unit, preset by preset, to be sure that it holds what it should.
//!
//! A look is one preset, called up on the unit. Each holds something that is heard and that no other preset shows, so that
//! as many looks are needed as there are such presets, and there are no more of them here.

use std::cmp::Reverse;

use serde::Serialize;

use super::diff::back::what;
use super::sheet::head;
use crate::Compiled;
use crate::book::Slot;
use crate::compare::back::{heard, songs};
use crate::compare::beside::{Switch, beside};
use crate::compare::stored::{Column, Store, Wire, columns, label, memory};
use crate::ids::{ColumnId, SceneId};
use crate::settle::{Cell, CellKind, Value};
use crate::written::cell;
use crate::written::switch::NOTHING;

/// A preset to look at.
#[derive(Clone, Debug, Serialize)]
pub struct Look {
    #[serde(skip)]
    pub at: Slot,
    /// The slot as the unit shows it.
    pub slot: String,
    /// The scene that it must hold.
    pub scene: String,
    /// The name that the unit must show; None where it shows none.
    pub name: Option<String>,
    /// How many songs may play it.
    pub songs: usize,
    /// What is heard of it, in board order.
    pub cells: Vec<LookCell>,
    /// What its switches do; the page does not ask for them.
    #[serde(skip)]
    pub switches: Vec<LookSwitch>,
}

/// A switch that works inside the preset.
#[derive(Clone, Debug)]
pub struct LookSwitch {
    /// What it is called.
    pub name: String,
    /// What it must do, also nothing.
    pub wants: Switch,
    /// The same in words: `toggles loop 2 (GLL) in`.
    pub says: String,
}

/// A cell to look at.
#[derive(Clone, Debug, Serialize)]
pub struct LookCell {
    #[serde(skip)]
    pub at: ColumnId,
    /// Its name in the table.
    pub cell: String,
    /// Its head on paper: `RDE`, `1T`.
    pub short: String,
    /// What it is: `loop 2 (RDE)`, with the controls that it moves.
    pub says: String,
    /// What must stand there, as the table has it.
    pub wants: String,
    /// The same in words: `in`, `closed`, `33.1 %, step 42`.
    pub shows: String,
    /// Where there are two values alone, the other: as the table has it, and in words.
    pub other: Option<(String, String)>,
    /// For a level, how many steps it has, and which it must stand at.
    pub steps: u16,
    pub step: Option<u16>,
}

/// All looks: what most songs play first; of as many songs, by slot. A preset of which nothing is heard is none.
pub fn looks(compiled: &Compiled) -> Vec<Look> {
    let (columns, songs) = (columns(compiled), songs(compiled));
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let mut out = Vec::new();
    for row in memory(compiled) {
        let cells: Vec<LookCell> =
            heard(compiled, &columns, row.scene).filter_map(|(c, value)| look(compiled, c, value)).collect();
        if let (Some(range), false) = (range, cells.is_empty()) {
            out.push(Look {
                at: row.slot,
                slot: range.show(row.slot),
                scene: compiled.book.show.scene(row.scene).map_or(String::new(), |s| s.name.to_string()),
                name: label(compiled, row.scene).map(str::to_owned),
                songs: songs.get(&row.scene).map_or(0, Vec::len),
                cells,
                switches: switches(compiled, &columns, row.slot, row.scene),
            });
        }
    }
    out.sort_by_key(|look| (Reverse(look.songs), look.at));
    out
}

fn switches(compiled: &Compiled, columns: &[Column], slot: Slot, scene: SceneId) -> Vec<LookSwitch> {
    let moved = |(_, store, cell): &(Wire, Store, ColumnId)| {
        let stored = columns.iter().find(|c| c.cell == *cell)?;
        let column = compiled.table.cells.list.get(*cell)?;
        Some(format!("{} {}", what(compiled, stored), shows(compiled, column, stored.value(store.clone()))))
    };
    let says = |does: &Switch| match does {
        Switch::Does(does) => {
            let word = if does.holds { "holds" } else { "toggles" };
            format!("{word} {}", does.moves.iter().filter_map(moved).collect::<Vec<_>>().join(" and "))
        }
        _ => format!("does {NOTHING}"),
    };
    let all = beside(compiled, columns, slot, scene).switches.into_iter();
    all.map(|(name, wants)| LookSwitch { name, says: says(&wants), wants }).collect()
}

/// What stands in a cell, in words.
fn shows(compiled: &Compiled, column: &Cell, value: Value) -> String {
    let written = cell::shown(&compiled.book.board, column, value);
    match (column.kind, value) {
        (CellKind::Loop(_), Value::On) => "in".to_owned(),
        (CellKind::Loop(_), _) => "out".to_owned(),
        (CellKind::Contact(_), Value::On) => "closed".to_owned(),
        (CellKind::Contact(_), Value::Off) => "open".to_owned(),
        (CellKind::Output(_), Value::On) => "on".to_owned(),
        (CellKind::Output(_), _) => "off".to_owned(),
        (_, Value::Stays) => "stays as it is".to_owned(),
        (_, Value::Step(step)) => format!("{written} %, step {step}"),
        (_, Value::Moved(_)) => format!("{written} %"),
        (_, value) if value.foot() => "to the foot".to_owned(),
        _ => written,
    }
}

fn look(compiled: &Compiled, stored: &Column, value: Value) -> Option<LookCell> {
    let column = compiled.table.cells.list.get(stored.cell)?;
    let written = |value: Value| cell::shown(&compiled.book.board, column, value);
    let wants = written(value);
    let other = match (column.kind, value) {
        (CellKind::Contact(_), _) if column.pulses() => None,
        (CellKind::Loop(_) | CellKind::Contact(_) | CellKind::Output(_), Value::On) => Some(Value::Off),
        (CellKind::Loop(_) | CellKind::Contact(_) | CellKind::Output(_), Value::Off) => Some(Value::On),
        _ => None,
    };
    Some(LookCell {
        at: stored.cell,
        cell: column.name.clone(),
        short: head(compiled, column),
        says: what(compiled, stored),
        shows: shows(compiled, column, value),
        other: other.map(|other| (written(other), shows(compiled, column, other))),
        steps: column.steps,
        step: if let Value::Step(step) = value { Some(step) } else { None },
        wants,
    })
}
