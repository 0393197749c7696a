//! What one set needs of the unit, in the order in which it is played: each slot where it is first needed, and how far the
//! set is right once it is written. A slot is filled as in the whole list; but the order is the set's, so each takes the
//! source that is least when its turn comes.

use std::collections::{BTreeMap, BTreeSet};

use super::inside::{self, Switched};
use super::plan::{Planner, Start, Target, as_it_is, cost, target};
use super::work::Work;
use crate::Compiled;
use crate::book::{Set, Slot};
use crate::compare::beside::Known;
use crate::compare::options::Options;
use crate::compare::pairing::Matched;
use crate::compare::stored::memory::{Held, Memory};
use crate::fill::Places;
use crate::ids::SceneId;

/// What a set needs.
#[derive(Clone, Debug, Default)]
pub struct Tonight {
    /// The set's title.
    pub title: String,
    /// The titles of its songs, in order.
    pub songs: Vec<String>,
    /// The slots that they are played from.
    pub slots: BTreeSet<Slot>,
    /// How many songs, from the first on, are right before anything is done.
    pub right: usize,
    /// The slots to write, in playing order.
    pub steps: Vec<Step>,
}

/// A slot to write.
#[derive(Clone, Debug)]
pub struct Step {
    /// What to do there.
    pub work: Work,
    /// What to set there of its switches.
    pub switched: Vec<Switched>,
    /// The slot before it on the list; before the first the one that the unit wakes on, where that is stated.
    pub after: Option<Slot>,
    /// Presses from there to the slot, by way of the one that is copied; None where the switcher does not state them.
    pub presses: Option<u32>,
    /// How many songs, from the first on, are right once it is done.
    pub right: usize,
}

/// Finds it for a set of the new book.
pub fn tonight(
    (old, known): (&Compiled, &Known),
    new: &Compiled,
    matched: &Matched,
    options: Options,
    set: &Set,
) -> Tonight {
    let memory = Memory::of(old, new, options.exact);
    let played = songs(new, set);
    let wants: BTreeMap<Slot, SceneId> = memory.wants.iter().copied().collect();
    let beside: BTreeSet<Slot> = inside::differences(known, new, &[]).into_iter().map(|one| one.slot).collect();
    let mut targets: Vec<Target> = Vec::new();
    for slot in played.iter().flat_map(|(_, slots)| slots).flatten() {
        if let Some(scene) = wants.get(slot).filter(|_| !targets.iter().any(|t| t.slot == *slot)) {
            let cells = target(&memory, *slot, *scene);
            targets.extend(cells.or_else(|| beside.contains(slot).then(|| as_it_is(&memory, *slot, *scene))));
        }
    }
    let planner = Planner::new(&memory, matched, options.copies, targets.len());
    let mut done: Vec<(Work, Held)> = Vec::with_capacity(targets.len());
    let mut steps = Vec::with_capacity(targets.len());
    let mut after = new.book.board.timing.wakes.map(|w| w.value);
    for (at, target) in targets.iter().enumerate() {
        let written = |slot: Slot| done.iter().zip(&targets).find(|((work, _), _)| work.slot == slot);
        let mut best = (target.alone, Start::Here);
        for from in planner.sources(target) {
            let Some((slot, scene)) = memory.holds.get(from).copied().filter(|(slot, _)| *slot != target.slot) else {
                continue;
            };
            if written(slot).is_none() {
                let worth = 1 + cost(&memory, &memory.held(Some(scene)), Some(scene), &target.wanted);
                if worth < best.0 {
                    best = (worth, Start::Old(slot, Some(scene)));
                }
            }
        }
        for ((_, held), other) in
            done.iter().zip(&targets).filter(|(_, other)| planner.moves(other.slot) && planner.moves(target.slot))
        {
            let worth = 1 + planner.from(held, other, target);
            if worth < best.0 {
                best = (worth, Start::Written(other, held));
            }
        }
        let (work, held) = planner.work(target, best.1);
        let presses = new.book.board.timing.presses.zip(after).map(|(presses, after)| {
            let by = work.from.map_or(work.slot, |from| from.slot());
            presses.between(after, by) + presses.between(by, work.slot)
        });
        let right = right(&played, &targets, at + 1);
        steps.push(Step { work: work.clone(), switched: Vec::new(), after, presses, right });
        after = Some(work.slot);
        done.push((work, held));
    }
    let work: Vec<Work> = done.into_iter().map(|(work, _)| work).collect();
    for one in inside::differences(known, new, &work) {
        if let Some(step) = steps.iter_mut().find(|step| step.work.slot == one.slot) {
            step.switched.push(one);
        }
    }
    Tonight {
        title: set.title.clone(),
        right: right(&played, &targets, 0),
        slots: played.iter().flat_map(|(_, slots)| slots).flatten().copied().collect(),
        songs: played.into_iter().map(|(title, _)| title).collect(),
        steps,
    }
}

/// How many songs, from the first on, find every slot right once the first `done` targets are written: a song with a part in
/// no slot never does.
fn right(played: &[(String, Vec<Option<Slot>>)], targets: &[Target], done: usize) -> usize {
    let stale = |slot: &Slot| targets.iter().skip(done).any(|t| t.slot == *slot);
    let plays = |slot: &Option<Slot>| slot.as_ref().is_some_and(|slot| !stale(slot));
    played.iter().take_while(|(_, slots)| slots.iter().all(plays)).count()
}

/// The set's songs with the slots that each part is played from, the first row before the second: the way that the sheet and
/// the walk take.
fn songs(new: &Compiled, set: &Set) -> Vec<(String, Vec<Option<Slot>>)> {
    let show = &new.book.show;
    let songs = || set.items.iter().filter_map(|item| show.songs.get(item.song()?));
    let wakes = new.book.board.timing.wakes.map(|w| w.value);
    let stands = new.presets.iter().find(|p| wakes.is_some() && p.slot == wakes).and_then(|p| p.slot);
    let mut path = Places::of(&new.book, &new.presets).path(stands, songs()).into_iter();
    let stored = |slot: Option<Slot>| match slot.map(Slot::stored) {
        Some(second) if second.again => vec![Some(Slot::at(second.bank, second.switch)), Some(second)],
        slot => vec![slot],
    };
    let mut slots = |parts: usize| path.by_ref().take(parts).flat_map(stored).collect();
    songs().map(|song| (song.title.to_string(), slots(song.parts.len()))).collect()
}
