//! What is known of a unit's memory: what was read off it, or what a record says was put there. It can stand where an old
//! book stands.

use std::collections::{BTreeMap, BTreeSet};

use super::beside::{Beside, Known, beside};
use super::stored::{columns, memory};
use super::todo;
use crate::Compiled;
use crate::book::{Board, Book, SayingRange, Scene, Show, Slot, Spanned};
use crate::fill::Preset;
use crate::ids::SceneId;
use crate::settle::{Table, Value};
use crate::source::{Files, Span};
use crate::stages::{Stages, Studies};
use crate::study::Momentary;

/// What is known of a unit.
#[derive(Clone, Debug, Default)]
pub struct Unit {
    /// By what it is known: the name of a record; empty for what was just read.
    pub record: String,
    pub slots: BTreeMap<Slot, Holds>,
}

/// What is known of a slot.
#[derive(Clone, Debug, Default)]
pub struct Holds {
    /// The name that it shows.
    pub name: Option<String>,
    /// For each cell of the book's table its value; None where nobody knows.
    pub cells: Vec<Option<Value>>,
    /// Messages that it sends and the board has no cell for, as the record calls them.
    pub others: Vec<String>,
    /// What its switches do, and whether a second row is called.
    pub beside: Beside,
}

impl Unit {
    /// What is known of a unit once these slots were programmed as the book says: not what their idle cells hold.
    pub fn programmed(compiled: &Compiled, slots: &BTreeSet<Slot>) -> Unit {
        let (table, columns) = (&compiled.table, columns(compiled));
        let presets = memory(compiled).into_iter().filter(|row| slots.contains(&row.slot)).map(|row| {
            let mut cells = vec![None; table.cells.len()];
            for column in columns.iter().filter(|c| !table.idle(row.scene, c.cell)) {
                if let Some(cell) = cells.get_mut(column.cell.index()) {
                    *cell = Some(table.stored(row.scene, column.cell)).filter(|v| *v != Value::Unknown);
                }
            }
            let name = compiled.book.show.scene(row.scene).map(|s| s.name.to_string());
            (
                row.slot,
                Holds { name, cells, others: Vec::new(), beside: beside(compiled, &columns, row.slot, row.scene) },
            )
        });
        Unit { slots: presets.collect(), ..Unit::default() }
    }

    /// As a book of this board, a scene a slot, of which nothing is played.
    pub fn as_book(&self, like: &Compiled) -> Compiled {
        let none = Span::new(0, 0, 0);
        let scene = |holds: &Holds| Scene {
            name: holds.name.as_deref().unwrap_or_default().into(),
            at: none,
            title: none,
            parent: None,
            layers: (0, 0),
            own: SayingRange::default(),
            was: none,
            faulty: false,
            repeated: false,
            pressed: 0,
        };
        let title = Spanned { value: self.record.clone(), at: none };
        let board = Board { title: Some(title), ..like.book.board.clone() };
        let show = Show { scenes: self.slots.values().map(scene).collect(), ..Show::default() };
        let width = like.table.cells.len();
        let row = |holds: &Holds| {
            let known = holds.cells.iter().map(|cell| cell.unwrap_or(Value::Unknown));
            known.chain(std::iter::repeat(Value::Unknown)).take(width).collect::<Vec<_>>()
        };
        let rows: Vec<Vec<Value>> = self.slots.values().map(row).collect();
        let presets = self.slots.keys().enumerate().map(|(at, slot)| Preset {
            slot: Some(*slot),
            scene: SceneId::nth(at),
            chosen: false,
        });
        Compiled::without_text(Stages {
            files: Files::default(),
            trees: Vec::new(),
            loading: Vec::new(),
            reading: Vec::new(),
            book: Book { board, show, ..Book::default() },
            binding: Vec::new(),
            table: Table::told(like.table.cells.clone(), &rows),
            settling: Vec::new(),
            presets: presets.collect(),
            slots: None,
            swapped: Vec::new(),
            helpers: crate::fill::helpers::Helpers::default(),
            momentary: Momentary::default(),
            studies: Studies::default(),
        })
    }

    /// What is known of it beside the cells.
    pub fn known(&self) -> Known {
        Known::of_slots(self.slots.iter().map(|(slot, holds)| (*slot, holds.beside.clone())))
    }

    /// How each slot of a book stands.
    pub fn standing(&self, compiled: &Compiled) -> BTreeMap<Slot, Standing> {
        let stale = todo::stale(&self.as_book(compiled), compiled, &self.known());
        let of = |slot: Slot| match self.slots.contains_key(&slot) {
            false => Standing::Never,
            true if stale.contains(&slot) => Standing::Stale,
            true => Standing::Programmed,
        };
        memory(compiled).into_iter().map(|row| (row.slot, of(row.slot))).collect()
    }
}

/// How a slot stands by what is known of the unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Standing {
    /// It is known to hold what the book says.
    Programmed,
    /// It is known to hold something else, or not known to hold all of it.
    Stale,
    /// Nothing is known of it.
    Never,
}

impl Standing {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Standing::Programmed => "programmed",
            Standing::Stale => "stale",
            Standing::Never => "never",
        }
    }
}
