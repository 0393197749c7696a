//! What to set anew beside the cells: what switches inside presets do.

use std::collections::{BTreeMap, BTreeSet};

use super::work::{Source, Work};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::beside::{Does, Known, Switch, of, second};
use crate::compare::stored::{columns, memory};
use crate::ids::SceneId;
use crate::written::switch::names;

/// Something of a slot that must be set beside its cells.
#[derive(Clone, PartialEq, Debug)]
pub struct Switched {
    pub slot: Slot,
    /// The scene of the new book.
    pub scene: SceneId,
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

/// What must be set in each slot beside its cells, once `work` is done. Nobody knows whether a unit brings the switches of a
/// preset along when it is stored elsewhere: where one is, all are told that either has.
pub(super) fn differences(known: &Known, new: &Compiled, work: &[Work]) -> Vec<Switched> {
    let inside = names(&new.book.board);
    if inside.is_empty() && known.is_empty() {
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
        let second = second(new, slot, row.scene);
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

/// For each slot in which a preset is stored: the switches that may do something there then, and whether nobody knows of
/// some. A source may have been set by then, or not yet.
fn brought(known: &Known, new: &Compiled, work: &[Work]) -> BTreeMap<Slot, (BTreeSet<String>, bool)> {
    let (columns, inside) = (columns(new), names(&new.book.board));
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
