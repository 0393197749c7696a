//! What the switches inside presets did, and do: what to set anew beside the cells.

use std::collections::{BTreeMap, BTreeSet};

use super::stored::{Column, Store, Wire, columns, memory};
use super::todo::{Source, Work};
use super::unit::Unit;
use crate::Compiled;
use crate::book::Slot;
use crate::book::inside::named;
use crate::book::song::SwitchName;
use crate::settle::inside::switches;

/// What a switch does: whether it only holds, and what each wire then holds.
#[derive(Clone, PartialEq, Debug)]
pub struct Does {
    pub holds: bool,
    pub moves: Vec<(Wire, Store, u16)>,
}

impl Does {
    /// The same, whatever the columns are numbered.
    fn same(&self, other: &Does) -> bool {
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

/// Something of a slot that must be set beside its cells.
#[derive(Clone, PartialEq, Debug)]
pub struct Switched {
    pub slot: Slot,
    /// The scene of the new book.
    pub scene: u32,
    pub what: Beneath,
}

/// What that is.
#[derive(Clone, PartialEq, Debug)]
pub enum Beneath {
    /// What a switch does, by its name; None where it does nothing any more.
    Switch(String, Option<Does>),
    /// Its own switch calls no second row any more.
    NoSecond,
    /// Nobody knows what else its switches do.
    Unknown,
}

impl Known {
    /// Of a unit that holds a book.
    pub fn of_book(compiled: &Compiled) -> Known {
        let slots = memory(compiled).into_iter().map(|row| (row.slot, beside(compiled, row.slot, row.scene)));
        Known { slots: slots.collect(), all: true }
    }

    /// Of a unit of which a record is known.
    pub fn of_unit(unit: &Unit) -> Known {
        Known { slots: unit.slots.iter().map(|(slot, holds)| (*slot, holds.beside.clone())).collect(), all: false }
    }

    fn names(&self, slot: Slot) -> impl Iterator<Item = &String> {
        self.slots.get(&slot).into_iter().flat_map(|beside| beside.switches.keys())
    }

    fn switch(&self, slot: Slot, name: &str) -> Option<&Switch> {
        let known = self.slots.get(&slot).and_then(|beside| beside.switches.get(name));
        known.or_else(|| self.all.then_some(&Switch::Nothing))
    }

    fn second(&self, slot: Slot) -> Option<bool> {
        self.slots.get(&slot).and_then(|beside| beside.second).or_else(|| self.all.then_some(false))
    }
}

/// What a book says of a slot beside its cells: of each switch that works inside a preset.
pub fn beside(compiled: &Compiled, slot: Slot, scene: u32) -> Beside {
    let nothing = names(compiled).into_iter().map(|name| (name, Switch::Nothing));
    let mut switches: BTreeMap<String, Switch> = nothing.collect();
    switches.extend(of(compiled, &columns(compiled), scene).into_iter().map(|(name, does)| (name, Switch::Does(does))));
    let rows = compiled.book.board.switcher.as_ref().and_then(|s| s.slots).is_some_and(|range| range.rows > 1);
    let second = (rows && !slot.again).then(|| compiled.book.show.again.iter().any(|again| again.scene == scene));
    Beside { switches, second }
}

/// What must be set in each slot beside its cells, once `work` is done. Nobody knows whether a unit brings the switches of a
/// preset along when it is stored elsewhere: where one is, all are told that either has.
pub fn differences(known: &Known, new: &Compiled, work: &[Work]) -> Vec<Switched> {
    let inside = names(new);
    if inside.is_empty() && known.slots.values().all(|beside| *beside == Beside::default()) {
        return Vec::new();
    }
    let columns = columns(new);
    let copied: BTreeSet<Slot> = work.iter().filter(|w| w.from.is_some()).map(|w| w.slot).collect();
    let brought = brought(known, new, work);
    let mut out = Vec::new();
    for row in memory(new) {
        let slot = row.slot;
        let now = of(new, &columns, row.scene);
        let (may, mut unsure) = brought.get(&slot).cloned().unwrap_or_default();
        let all: BTreeSet<&String> = now.keys().chain(known.names(slot)).chain(&inside).chain(&may).collect();
        let brings = |name: &String| may.contains(name);
        for name in all {
            let (was, does) = (known.switch(slot, name), now.get(name));
            let right = match (was, does) {
                (Some(Switch::Does(was)), Some(does)) => !copied.contains(&slot) && was.same(does),
                (Some(Switch::Nothing), None) => !brings(name),
                (None, None) => {
                    unsure = true;
                    !brings(name)
                }
                _ => false,
            };
            if !right {
                let what = Beneath::Switch(name.clone(), does.cloned());
                out.push(Switched { slot, scene: row.scene, what });
            }
        }
        let second = beside(new, slot, row.scene).second;
        let was = known.second(slot);
        if second == Some(false) && was == Some(true) {
            out.push(Switched { slot, scene: row.scene, what: Beneath::NoSecond });
        }
        if unsure || second == Some(false) && was.is_none() {
            out.push(Switched { slot, scene: row.scene, what: Beneath::Unknown });
        }
    }
    out
}

fn first(compiled: &Compiled) -> Option<(SwitchName, u32)> {
    compiled.book.board.switcher.as_ref().and_then(|s| s.inside).and_then(|i| i.switches)
}

/// For each slot in which a preset is stored: the switches that may do something there then, and whether nobody knows of
/// some. A source may have been set by then, or not yet.
fn brought(known: &Known, new: &Compiled, work: &[Work]) -> BTreeMap<Slot, (BTreeSet<String>, bool)> {
    let (columns, inside) = (columns(new), names(new));
    let own = |slot: Slot| {
        let does = |name: &&String| known.switch(slot, name).is_some_and(|s| *s != Switch::Nothing);
        let may: BTreeSet<String> = known.names(slot).filter(does).cloned().collect();
        (may, inside.iter().any(|name| known.switch(slot, name).is_none()))
    };
    let mut out: BTreeMap<Slot, (BTreeSet<String>, bool)> = BTreeMap::new();
    for one in work {
        let Some(from) = one.from else { continue };
        let (mut may, unsure) = out.get(&from.slot()).cloned().unwrap_or_else(|| own(from.slot()));
        if let Source::New(_, scene) = from {
            may.extend(of(new, &columns, scene).into_keys());
        }
        out.insert(one.slot, (may, unsure));
    }
    out
}

/// The switches that work inside presets, by name.
pub fn names(compiled: &Compiled) -> Vec<String> {
    let (first, count) = first(compiled).map_or((None, 0), |(first, count)| (Some(first), count));
    (0..count).map(|n| named(first, 1 << n)).collect()
}

fn of(compiled: &Compiled, columns: &[Column], scene: u32) -> BTreeMap<String, Does> {
    let first = first(compiled).map(|s| s.0);
    let one = |(switch, holds, moves): (u8, bool, Vec<_>)| {
        let wire = |(cell, value)| columns.iter().find(|c| c.cell == cell).map(|c| (c.wire, c.store(value), cell));
        (named(first, 1 << switch), Does { holds, moves: moves.into_iter().filter_map(wire).collect() })
    };
    switches(&compiled.book, &compiled.table, scene).into_iter().map(one).collect()
}
