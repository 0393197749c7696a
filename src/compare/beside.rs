//! What a slot holds beside its cells: what the switches inside its preset do, and whether it has a second row.

use std::collections::BTreeMap;

use super::stored::{Column, Store, Wire, columns, memory};
use crate::Compiled;
use crate::book::Slot;
use crate::ids::{ColumnId, SceneId};
use crate::settle::inside::switches;
use crate::written::{cell, switch};

/// What a switch does: whether it only holds, and what each wire then holds.
#[derive(Clone, PartialEq, Debug)]
pub struct Does {
    pub holds: bool,
    pub moves: Vec<(Wire, Store, ColumnId)>,
}

impl Does {
    /// The same, whatever the columns are numbered.
    pub(super) fn same(&self, other: &Does) -> bool {
        let wires = |d: &Does| d.moves.iter().map(|(wire, store, _)| (*wire, store.clone())).collect::<Vec<_>>();
        self.holds == other.holds && wires(self) == wires(other)
    }
}

/// What is known of a switch.
#[derive(Clone, PartialEq, Debug)]
pub enum Switch {
    Does(Does),
    Nothing,
    /// It does something that this board has no words for.
    Other,
}

/// What is known of a slot beside its cells.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Beside {
    /// By switch; nothing is known of one that is missing.
    pub switches: BTreeMap<String, Switch>,
    /// Its own switch pressed again calls its second row, or does not.
    pub second: Option<bool>,
}

/// What is known of all slots.
pub struct Known {
    slots: BTreeMap<Slot, Beside>,
    /// What is not named is not there.
    all: bool,
}

impl Known {
    /// Of a unit that holds a book.
    pub fn of_book(compiled: &Compiled) -> Known {
        if switch::names(&compiled.book.board).is_empty() && !compiled.book.board.has_rows() {
            return Known { slots: BTreeMap::new(), all: true };
        }
        let columns = columns(compiled);
        let slots = memory(compiled).into_iter().map(|row| (row.slot, beside(compiled, &columns, row.slot, row.scene)));
        Known { slots: slots.collect(), all: true }
    }

    /// Of slots of which this is known, and nothing more.
    pub fn of_slots(slots: impl Iterator<Item = (Slot, Beside)>) -> Known {
        Known { slots: slots.collect(), all: false }
    }

    /// Nothing is known of switches anywhere.
    pub(super) fn is_empty(&self) -> bool {
        self.slots.values().all(|beside| *beside == Beside::default())
    }

    pub(super) fn names(&self, slot: Slot) -> impl Iterator<Item = &String> {
        self.slots.get(&slot).into_iter().flat_map(|beside| beside.switches.keys())
    }

    pub(super) fn switch(&self, slot: Slot, name: &str) -> Option<&Switch> {
        let known = self.slots.get(&slot).and_then(|beside| beside.switches.get(name));
        known.or_else(|| self.all.then_some(&Switch::Nothing))
    }

    pub(super) fn second(&self, slot: Slot) -> Option<bool> {
        self.slots.get(&slot).and_then(|beside| beside.second).or_else(|| self.all.then_some(false))
    }
}

/// What a book says of a slot beside its cells: of each switch that works inside a preset.
pub fn beside(compiled: &Compiled, columns: &[Column], slot: Slot, scene: SceneId) -> Beside {
    let nothing = switch::names(&compiled.book.board).into_iter().map(|name| (name, Switch::Nothing));
    let mut switches: BTreeMap<String, Switch> = nothing.collect();
    switches.extend(of(compiled, columns, scene).into_iter().map(|(name, does)| (name, Switch::Does(does))));
    Beside { switches, second: second(compiled, slot, scene) }
}

/// Whether a slot's own switch, pressed again, calls a second row; None for one that has none on any board, and for the second.
pub(super) fn second(compiled: &Compiled, slot: Slot, scene: SceneId) -> Option<bool> {
    let again = &compiled.book.show.again;
    (compiled.book.board.has_rows() && !slot.again)
        .then(|| again.binary_search_by_key(&scene, |again| again.scene).is_ok())
}

/// What the switches of a scene do, by name.
pub(super) fn of(compiled: &Compiled, columns: &[Column], scene: SceneId) -> BTreeMap<String, Does> {
    let one = |(switch, holds, moves): (u8, bool, Vec<_>)| {
        let wire = |(cell, value)| columns.iter().find(|c| c.cell == cell).map(|c| (c.wire, c.store(value), cell));
        (
            compiled.book.board.switches_named(1 << switch),
            Does { holds, moves: moves.into_iter().filter_map(wire).collect() },
        )
    };
    switches(&compiled.book, &compiled.table, scene).into_iter().map(one).collect()
}

/// What such words as tables write say of a switch; None where they are none of this board.
pub fn read(compiled: &Compiled, columns: &[Column], text: &str) -> Option<Switch> {
    if text == switch::NOTHING {
        return Some(Switch::Nothing);
    }
    let (holds, moves) = switch::parts(text)?;
    let moved = moves.into_iter().map(|(name, there, _)| {
        let at = compiled.table.cells.list.position(|cell| cell.name == name)?;
        let value = cell::read(&compiled.book.board, compiled.table.cells.list.get(at)?, there)?;
        let column = columns.iter().find(|c| c.cell == at)?;
        Some((column.wire, column.store(value), column.cell))
    });
    Some(Switch::Does(Does { holds, moves: moved.collect::<Option<_>>()? }))
}
