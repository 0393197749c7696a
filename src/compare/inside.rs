//! What the switches inside presets did, and do: what to set anew beside the cells.

use std::collections::BTreeMap;

use super::stored::{Column, Store, Wire, columns, memory};
use super::todo::WorkList;
use crate::Compiled;
use crate::book::Slot;
use crate::book::inside::named;
use crate::settle::inside::switches;

/// What a switch does: whether it only holds, and what each wire then holds.
#[derive(Clone, PartialEq, Debug)]
pub struct Does {
    pub holds: bool,
    pub moves: Vec<(Wire, Store, u16)>,
}

/// A switch of a slot that does something else now.
#[derive(Clone, PartialEq, Debug)]
pub struct Switched {
    pub slot: Slot,
    /// The scene of the new book.
    pub scene: u32,
    /// The switch.
    pub name: String,
    /// What it did; None where it did nothing, or nobody knows.
    pub was: Option<Does>,
    /// What it does.
    pub now: Option<Does>,
}

/// The switches of each slot that must be set anew. What is stored over by a copy brings its own switches along: all of
/// them are told there.
pub(super) fn differences(old: &Compiled, new: &Compiled, list: &WorkList) -> Vec<Switched> {
    let none = |c: &Compiled| c.book.show.combinations.is_empty();
    if none(old) && none(new) {
        return Vec::new();
    }
    let (before, after) = (columns(old), columns(new));
    let stood: BTreeMap<Slot, u32> = memory(old).iter().map(|row| (row.slot, row.scene)).collect();
    let copied = |slot: Slot| list.work.iter().any(|w| w.slot == slot && w.from.is_some());
    let mut out = Vec::new();
    for row in memory(new) {
        let now = of(new, &after, row.scene);
        let was = stood.get(&row.slot).map_or(BTreeMap::new(), |scene| of(old, &before, *scene));
        for name in now.keys().chain(was.keys().filter(|name| !now.contains_key(*name))) {
            let (was, now) = (was.get(name), now.get(name));
            let same = |a: &Does, b: &Does| {
                let wires = |d: &Does| d.moves.iter().map(|(w, s, _)| (*w, s.clone())).collect::<Vec<_>>();
                a.holds == b.holds && wires(a) == wires(b)
            };
            let alike = was.zip(now).is_some_and(|(a, b)| same(a, b));
            if !alike || copied(row.slot) {
                let (was, now) = (was.cloned(), now.cloned());
                out.push(Switched { slot: row.slot, scene: row.scene, name: name.clone(), was, now });
            }
        }
    }
    out
}

fn of(compiled: &Compiled, columns: &[Column], scene: u32) -> BTreeMap<String, Does> {
    let first = compiled.book.board.switcher.as_ref().and_then(|s| s.inside).and_then(|i| i.switches).map(|s| s.0);
    let one = |(switch, holds, moves): (u8, bool, Vec<_>)| {
        let wire = |(cell, value)| columns.iter().find(|c| c.cell == cell).map(|c| (c.wire, c.store(value), cell));
        (named(first, 1 << switch), Does { holds, moves: moves.into_iter().filter_map(wire).collect() })
    };
    switches(&compiled.book, &compiled.table, scene).into_iter().map(one).collect()
}
