//! A unit's memory as a plain map, and a list of work done to it the way a person would.

use std::collections::{BTreeMap, BTreeSet};
use tipring::ids::SceneId;

use tipring::Compiled;
use tipring::book::Slot;
use tipring::compare::stored::{Store, Wire, columns, label, memory as stored};
use tipring::compare::todo::{Source, Work};

#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Row {
    pub cells: BTreeMap<Wire, Store>,
    pub label: Option<String>,
}

pub(crate) type Memory = BTreeMap<Slot, Row>;

/// What a unit programmed from empty holds.
pub(crate) fn memory(book: &Compiled) -> Memory {
    let columns = columns(book);
    let row = |scene: SceneId| Row {
        cells: columns.iter().map(|c| (c.wire, c.store(book.table.stored(scene, c.cell)))).collect(),
        label: label(book, scene).map(str::to_owned),
    };
    stored(book).iter().map(|s| (s.slot, row(s.scene))).collect()
}

/// Adds what the empty slots of such a unit hold, and what its presets do not send.
pub(crate) fn empty(memory: &mut Memory, old: &Compiled, new: &Compiled) {
    let slots: Vec<Slot> = stored(new).iter().map(|row| row.slot).chain(memory.keys().copied()).collect();
    let of = |book: &Compiled| -> Vec<(Wire, Store)> {
        let each = columns(book).into_iter();
        each.filter_map(|c| Some((c.wire, c.store(book.table.cells.list.get(c.cell).unwrap().empty()?)))).collect()
    };
    let cells: Vec<(Wire, Store)> = of(old).into_iter().chain(of(new)).collect();
    for slot in slots {
        let row = memory.entry(slot).or_default();
        for (wire, store) in &cells {
            row.cells.entry(*wire).or_insert(store.clone());
        }
    }
}

/// Does the work, step by step: each slot is written once, and read only as it stands.
pub(crate) fn list(memory: &mut Memory, old: &Compiled, new: &Compiled, work: &[Work]) {
    let columns = columns(new);
    let at_start = memory.clone();
    let mut written = BTreeSet::new();
    for work in work {
        match work.from {
            Some(Source::Old(from, scene)) => {
                let row = memory[&from].clone();
                assert_eq!(row.label.as_deref(), label(old, scene), "overwritten before it was read");
                assert_eq!(row, at_start[&from], "overwritten before it was read");
                memory.insert(work.slot, row);
            }
            Some(Source::New(from, scene)) => {
                assert!(written.contains(&from), "read before it was written");
                let row = memory[&from].clone();
                assert_eq!(row.label.as_deref(), label(new, scene), "read before it was written");
                memory.insert(work.slot, row);
            }
            None => {}
        }
        assert!(written.insert(work.slot), "written twice");
        let row = memory.entry(work.slot).or_default();
        for edit in &work.edits {
            let column = columns.iter().find(|c| c.cell == edit.cell).expect("a stored column");
            row.cells.insert(edit.wire, column.store(edit.now));
        }
        if let Some(label) = &work.label {
            row.label = Some(label.clone());
        }
    }
}

/// Whether a memory holds a book's table in every cell that matters and is known.
pub(crate) fn holds(memory: &Memory, book: &Compiled) -> Result<(), String> {
    for row in stored(book) {
        let held = memory.get(&row.slot).ok_or("an empty slot")?;
        for column in columns(book) {
            let want = column.store(book.table.stored(row.scene, column.cell));
            let is = held.cells.get(&column.wire).cloned();
            if !book.table.idle(row.scene, column.cell) && want != Store::Unknown && is.as_ref() != Some(&want) {
                return Err(format!("{:?} {:?} holds {is:?}, not {want:?}", row.slot, column.wire));
            }
        }
        let name = label(book, row.scene);
        if name.is_some() && held.label.as_deref() != name {
            return Err(format!("{:?} is called {:?}, not {name:?}", row.slot, held.label));
        }
    }
    Ok(())
}
