//! What must be done to the switcher: cell edits, grouped by slot.

use rustc_hash::FxHashMap;

use super::stored::{Store, Wire, columns, label, memory};
use crate::Compiled;
use crate::book::Slot;
use crate::settle::Value;

/// One cell to set.
#[derive(Clone, PartialEq, Debug)]
pub struct Edit {
    /// What the cell drives.
    pub wire: Wire,
    /// The cell in the new table.
    pub cell: u16,
    /// The cell in the old table and its stored value there; None when nothing known is stored.
    pub was: Option<(u16, Value)>,
    /// The value to store.
    pub now: Value,
}

/// Everything to do in one slot.
#[derive(Clone, PartialEq, Debug)]
pub struct Work {
    /// The slot.
    pub slot: Slot,
    /// The old scene stored there, a number of the old book.
    pub was: Option<u32>,
    /// The scene that must be stored there, a number of the new book.
    pub now: u32,
    /// The letters that the display must show, when they change.
    pub label: Option<String>,
    /// The cells to set, in board order.
    pub edits: Vec<Edit>,
}

/// The work in every slot that needs some, in slot order.
pub fn work(old: &Compiled, new: &Compiled) -> Vec<Work> {
    let (left, right) = (columns(old), columns(new));
    let at: FxHashMap<Wire, usize> = left.iter().enumerate().map(|(i, c)| (c.wire, i)).collect();
    let across: Vec<Option<usize>> = right.iter().map(|c| at.get(&c.wire).copied()).collect();
    let stored: FxHashMap<Slot, u32> = memory(old).iter().map(|s| (s.slot, s.scene)).collect();
    let mut out = Vec::new();
    for row in memory(new) {
        let was = stored.get(&row.slot).copied();
        let mut work = Work { slot: row.slot, was, now: row.scene, label: None, edits: Vec::new() };
        for (column, from) in right.iter().zip(&across) {
            let now = new.table.stored(row.scene, column.cell);
            let before = from.and_then(|f| left.get(f)).zip(was);
            let before = before.map(|(c, scene)| (c, old.table.stored(scene, c.cell)));
            let same = before.map(|(c, value)| c.store(value)) == Some(column.store(now));
            if same || new.table.is_free(row.scene, column.cell) || column.store(now) == Store::Unknown {
                continue;
            }
            let was = before.map(|(c, value)| (c.cell, value));
            work.edits.push(Edit { wire: column.wire, cell: column.cell, was, now });
        }
        let shown = label(new, row.scene);
        if shown != was.and_then(|scene| label(old, scene)) {
            work.label = shown.map(str::to_owned);
        }
        if !work.edits.is_empty() || work.label.is_some() {
            out.push(work);
        }
    }
    out
}
