//! What was read off the unit against what a book says should be there.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use rustc_hash::{FxHashMap, FxHashSet};

use super::stored::{Column, Store, columns, label, memory};
use super::todo::{Beneath, Edit, Switched, Work, beneath};
use super::unit::Unit;
use crate::Compiled;
use crate::book::Slot;
use crate::ids::{ColumnId, SceneId};
use crate::settle::Value;
use crate::written::switch;

/// What came of it.
#[derive(Clone, Debug, Default)]
pub struct Back {
    /// What must be set, preset by preset: those that most songs may play first; of as many songs, by slot.
    pub wrong: Vec<Wrong>,
    /// How many cells and names that matter are as they should be.
    pub right: usize,
    /// What matters and was not read, by slot.
    pub unread: Vec<Unread>,
    /// Switches inside presets that do something else than they should, by slot.
    pub switched: Vec<Switched>,
    /// Presets of which nobody read what each of their switches does.
    pub unseen: BTreeSet<Slot>,
    /// Slots that the unit fills and the book does not.
    pub extra: Vec<Slot>,
}

/// A preset that is not what it should be.
#[derive(Clone, Debug)]
pub struct Wrong {
    /// What to set there: nothing is copied.
    pub work: Work,
    /// The titles of the songs that have a part which may be played from it.
    pub songs: Vec<String>,
}

/// What of a preset was not read.
#[derive(Clone, Debug)]
pub struct Unread {
    pub slot: Slot,
    pub scene: SceneId,
    /// The cells that matter; all of them where nothing of it was read.
    pub cells: Vec<ColumnId>,
    /// Nothing of it was read.
    pub whole: bool,
}

impl Back {
    /// How many cells, names and switches are wrong.
    pub fn count(&self) -> usize {
        self.wrong.iter().map(|w| w.work.count()).sum::<usize>() + self.switched.len()
    }

    /// All that matters was read, and all of it is right.
    pub fn clean(&self) -> bool {
        self.wrong.is_empty() && self.unread.is_empty() && self.switched.is_empty() && self.unseen.is_empty()
    }
}

/// The cells of a scene's preset that matter, with what each must hold.
pub fn heard<'c>(
    compiled: &'c Compiled,
    columns: &'c [Column],
    scene: SceneId,
) -> impl Iterator<Item = (&'c Column, Value)> {
    let table = &compiled.table;
    let one = move |column: &'c Column| {
        let value = table.stored(scene, column.cell);
        let known = column.store(value) != Store::Unknown;
        (known && !table.idle(scene, column.cell)).then_some((column, value))
    };
    columns.iter().filter_map(one)
}

/// For each scene that songs play, their titles.
pub fn songs(compiled: &Compiled) -> FxHashMap<SceneId, Vec<String>> {
    let mut out: FxHashMap<SceneId, Vec<String>> = FxHashMap::default();
    for song in compiled.book.show.songs_by_name() {
        let scenes = song.parts.iter().filter_map(|p| p.scene);
        let scenes: FxHashSet<SceneId> = scenes.flat_map(|s| compiled.book.show.on_the_way(s)).collect();
        for scene in scenes {
            out.entry(scene).or_default().push(song.title.to_string());
        }
    }
    out
}

/// Compares.
pub fn read_back(compiled: &Compiled, unit: &Unit) -> Back {
    let (columns, songs, wants) = (columns(compiled), songs(compiled), memory(compiled));
    let mut back = Back::default();
    for row in &wants {
        let mut heard = heard(compiled, &columns, row.scene).peekable();
        let Some(holds) = unit.slots.get(&row.slot) else {
            if heard.peek().is_some() {
                let cells = heard.map(|(column, _)| column.cell).collect();
                back.unread.push(Unread { slot: row.slot, scene: row.scene, cells, whole: true });
            }
            continue;
        };
        let (mut edits, mut unread) = (Vec::new(), Vec::new());
        for (column, now) in heard {
            match holds.cells.get(column.cell.index()).copied().flatten() {
                None => unread.push(column.cell),
                Some(is) if column.store(is) == column.store(now) => back.right += 1,
                Some(is) => {
                    let was = (is != Value::Unknown).then_some((column.cell, is));
                    edits.push(Edit { wire: column.wire, cell: column.cell, was, now });
                }
            }
        }
        let shows = holds.name.as_deref().zip(label(compiled, row.scene));
        // The whole name is as good as the letters that the display has room for.
        let whole = compiled.book.show.scene(row.scene).map_or("", |s| &s.name);
        let right = |shows: &str, wants: &str| shows == wants || shows == whole;
        let name = shows.filter(|(shows, wants)| !right(shows.trim(), wants)).map(|(_, wants)| wants.to_owned());
        back.right += usize::from(shows.is_some() && name.is_none());
        if !edits.is_empty() || name.is_some() {
            let work = Work { slot: row.slot, was: None, now: row.scene, from: None, label: name, edits };
            back.wrong.push(Wrong { work, songs: songs.get(&row.scene).cloned().unwrap_or_default() });
        }
        if !unread.is_empty() {
            back.unread.push(Unread { slot: row.slot, scene: row.scene, cells: unread, whole: false });
        }
    }
    let known = |one: &Switched| match (&one.what, unit.slots.get(&one.slot)) {
        (Beneath::Switch(name, _), Some(holds)) => holds.beside.switches.contains_key(name),
        (what, _) => *what == Beneath::NoSecond,
    };
    let read = beneath(&unit.known(), compiled).into_iter();
    let (switched, unseen) = read.filter(|one| unit.slots.contains_key(&one.slot)).partition::<Vec<_>, _>(known);
    back.switched = switched;
    // Whether a slot has a second row that the book has not, no reading tells.
    let names = switch::names(&compiled.book.board);
    let whole =
        |slot: Slot| unit.slots.get(&slot).is_some_and(|h| names.iter().all(|n| h.beside.switches.contains_key(n)));
    back.unseen = unseen.into_iter().map(|one| one.slot).filter(|slot| !whole(*slot)).collect();
    back.wrong.sort_by_key(|wrong| (Reverse(wrong.songs.len()), wrong.work.slot));
    let filled = |slot: &Slot| wants.binary_search_by_key(slot, |row| row.slot).is_ok();
    back.extra = unit.slots.keys().filter(|slot| !filled(slot)).copied().collect();
    back
}
