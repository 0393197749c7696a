//! What must be done to the switcher: cells to set, grouped by slot, in an order that loses nothing still needed.
//!
//! A slot is filled by editing what it holds, or by storing another slot's preset there and editing that. Storing
//! counts as one thing to do, and so does each cell and the name. A cell that is free in the new book is left as it
//! is, unless a rule of the new book would break.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use rustc_hash::FxHashMap;

use super::arborescence;
use super::work::{Edit, Work, WorkList};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::pairing::Matched;
use crate::compare::stored::memory::{Held, Memory, Wanted};
use crate::compare::stored::{Column, Store};
use crate::settle::Value;

/// The most pairs of slots that are looked at for the least work; beyond, a slot is filled from what it holds or
/// from where its own scene was stored.
const MOST_PAIRS: usize = 400_000;

/// A slot that must change.
struct Target {
    slot: Slot,
    scene: u32,
    was: Option<u32>,
    wanted: Wanted,
    /// What editing in place takes.
    alone: u32,
    /// The best preset that no work overwrites, when it takes less.
    kept: Option<usize>,
}

/// The least work that turns the old memory into the new one.
pub(super) fn list(old: &Compiled, new: &Compiled, matched: &Matched, exact: bool) -> WorkList {
    let memory = Memory::of(old, new, exact);
    let mut targets = Vec::new();
    for (slot, scene) in memory.wants.iter().copied() {
        let was = memory.holds_in(slot);
        if memory.plainly_same(was, scene) {
            continue;
        }
        let wanted = memory.wanted(scene);
        let alone = cost(&memory, &memory.held(was), was, &wanted);
        if alone > 0 {
            targets.push(Target { slot, scene, was, wanted, alone, kept: None });
        }
    }
    let least = targets.len() * memory.holds.len() <= MOST_PAIRS;
    let mut origin = vec![None; old.book.show.scenes.len()];
    for (at, (_, scene)) in memory.holds.iter().enumerate().rev() {
        if let Some(first) = origin.get_mut(*scene as usize) {
            *first = Some(at);
        }
    }
    let planner = Planner { memory: &memory, matched, origin, least };
    WorkList { work: planner.plan(targets), least }
}

fn cost(memory: &Memory<'_>, held: &Held, was: Option<u32>, wanted: &Wanted) -> u32 {
    let (before, after) = memory.labels(was, wanted.scene);
    memory.distance(held, wanted) + u32::from(after.is_some() && before != after)
}

struct Planner<'m> {
    memory: &'m Memory<'m>,
    matched: &'m Matched,
    /// For each old scene: the first place that holds it.
    origin: Vec<Option<usize>>,
    least: bool,
}

impl Planner<'_> {
    fn plan(&self, mut targets: Vec<Target>) -> Vec<Work> {
        let at: FxHashMap<Slot, usize> = targets.iter().enumerate().map(|(i, t)| (t.slot, i)).collect();
        // Presets that stay, and those whose slot is overwritten, each with what they hold.
        let mut held: Vec<Held> = Vec::new();
        if self.least && !targets.is_empty() {
            held = self.memory.holds.iter().map(|(_, scene)| self.memory.held(Some(*scene))).collect();
        }
        let mut ways: Vec<FxHashMap<usize, u32>> = targets.iter().map(|_| FxHashMap::default()).collect();
        for (target, ways) in targets.iter_mut().zip(&mut ways) {
            let mut best = target.alone;
            for from in self.sources(target) {
                let Some((slot, scene)) = self.memory.holds.get(from).copied() else { continue };
                if slot == target.slot {
                    continue;
                }
                let worth = 1 + match held.get(from) {
                    Some(row) => cost(self.memory, row, Some(scene), &target.wanted),
                    None => cost(self.memory, &self.memory.held(Some(scene)), Some(scene), &target.wanted),
                };
                match at.get(&slot) {
                    Some(other) => drop(ways.insert(*other, worth)),
                    None if worth < best => (best, target.kept) = (worth, Some(from)),
                    None => {}
                }
            }
            target.alone = best;
        }
        let alone: Vec<u32> = targets.iter().map(|t| t.alone).collect();
        let from = |u: usize, v: usize| ways.get(v).and_then(|w| w.get(&u)).copied();
        let parents = self.parents(&alone, &from, &ways);
        let order = order(&targets, &parents);
        order
            .into_iter()
            .filter_map(|t| self.work(targets.get(t)?, parents.get(t).copied().flatten().and_then(|p| targets.get(p))))
            .collect()
    }

    /// Dense where all pairs were looked at; else only slots with some other way in take part.
    fn parents(
        &self,
        alone: &[u32],
        from: &dyn Fn(usize, usize) -> Option<u32>,
        ways: &[FxHashMap<usize, u32>],
    ) -> Vec<Option<usize>> {
        // A way that takes no less than editing in place is never needed, as that binds no order.
        let useful = |u: usize, v: usize| from(u, v).filter(|w| alone.get(v).is_some_and(|a| w < a));
        let takes: Vec<usize> = (0..alone.len())
            .filter(|v| ways.get(*v).is_some_and(|w| w.keys().any(|u| useful(*u, *v).is_some())))
            .collect();
        let gives = |v: &usize| takes.iter().any(|t| useful(*v, *t).is_some());
        let part: Vec<usize> = (0..alone.len()).filter(|v| takes.binary_search(v).is_ok() || gives(v)).collect();
        let some: Vec<u32> = part.iter().filter_map(|v| alone.get(*v).copied()).collect();
        let found = arborescence::least(&some, &|u, v| useful(*part.get(u)?, *part.get(v)?));
        let mut out = vec![None; alone.len()];
        for (v, parent) in part.iter().zip(found) {
            if let Some(slot) = out.get_mut(*v) {
                *slot = parent.and_then(|p| part.get(p).copied());
            }
        }
        out
    }

    /// Where a target may be filled from, as places in the old memory.
    fn sources(&self, target: &Target) -> Vec<usize> {
        if self.least {
            return (0..self.memory.holds.len()).collect();
        }
        let own = self.matched.scenes.old_of(target.scene);
        own.and_then(|scene| self.origin.get(scene as usize).copied().flatten()).into_iter().collect()
    }

    /// The value as the table has it, which knows from where a foot starts.
    fn value(&self, scene: u32, column: &Column, store: Store) -> Value {
        let own = self.memory.new.table.value(scene, column.cell);
        if column.store(own) == store { own } else { column.value(store) }
    }

    fn work(&self, target: &Target, parent: Option<&Target>) -> Option<Work> {
        let kept = || target.kept.and_then(|at| self.memory.holds.get(at)).copied();
        let from = match parent {
            Some(parent) => Some((parent.slot, parent.was?)),
            None => kept(),
        };
        let scene = from.map(|(_, scene)| scene).or(target.was);
        let held = self.memory.held(scene);
        let edit = |(at, store): (usize, Store)| {
            let column = self.memory.columns.get(at)?;
            Some(Edit {
                wire: column.wire,
                cell: column.cell,
                was: scene.and_then(|s| self.memory.was(s, at)),
                now: self.value(target.scene, column, store),
            })
        };
        let columns = self.memory.turn(&held, &target.wanted);
        let (before, after) = self.memory.labels(scene, target.scene);
        Some(Work {
            slot: target.slot,
            was: target.was,
            now: target.scene,
            from,
            label: after.filter(|_| before != after).map(str::to_owned),
            edits: columns.into_iter().filter_map(edit).collect(),
        })
    }
}

/// Whoever reads from a slot comes before that slot is overwritten; else by slot.
fn order(targets: &[Target], parents: &[Option<usize>]) -> Vec<usize> {
    let mut readers = vec![0usize; targets.len()];
    for parent in parents.iter().flatten() {
        if let Some(count) = readers.get_mut(*parent) {
            *count += 1;
        }
    }
    let slot = |t: usize| targets.get(t).map(|t| t.slot);
    let free = |(t, count): (usize, &usize)| (*count == 0).then(|| Reverse((slot(t), t)));
    let mut ready: BinaryHeap<_> = readers.iter().enumerate().filter_map(free).collect();
    let mut out = Vec::with_capacity(targets.len());
    while let Some(Reverse((_, t))) = ready.pop() {
        out.push(t);
        let Some(parent) = parents.get(t).copied().flatten() else { continue };
        if let Some(count) = readers.get_mut(parent) {
            *count -= 1;
            if *count == 0 {
                ready.push(Reverse((slot(parent), parent)));
            }
        }
    }
    out
}
