//! What must be done to the switcher: cells to set, grouped by slot, in an order that loses nothing still needed.
//!
//! A slot is filled by editing what it holds, or by storing another slot's preset there, as it was or as this list has
//! just written it, and editing that. Storing counts as one thing to do, and so does each cell and the name. A cell that
//! is free in the new book is left as it is, unless a rule of the new book would break.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use rustc_hash::FxHashMap;

use super::choice::{self, From, Ways};
use super::work::{Edit, Source, Work, WorkList};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::pairing::Matched;
use crate::compare::stored::memory::{Held, Memory, Wanted};
use crate::compare::stored::{Column, Store};
use crate::settle::Value;

/// The most pairs of slots that are looked at for the least work; beyond, a slot is filled from what it holds, from
/// where its own scene was stored, or from where this list stored it.
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
    let whole = targets.len() * (memory.holds.len() + targets.len()) <= MOST_PAIRS;
    let mut origin = vec![None; old.book.show.scenes.len()];
    for (at, (_, scene)) in memory.holds.iter().enumerate().rev() {
        if let Some(first) = origin.get_mut(*scene as usize) {
            *first = Some(at);
        }
    }
    Planner { memory: &memory, matched, origin, whole }.plan(targets)
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
    /// All pairs of slots are looked at.
    whole: bool,
}

impl Planner<'_> {
    fn plan(&self, mut targets: Vec<Target>) -> WorkList {
        let at: FxHashMap<Slot, usize> = targets.iter().enumerate().map(|(i, t)| (t.slot, i)).collect();
        // What each slot holds before anything is done.
        let mut held: Vec<Held> = Vec::new();
        if self.whole && !targets.is_empty() {
            held = self.memory.holds.iter().map(|(_, scene)| self.memory.held(Some(*scene))).collect();
        }
        let mut ways: Vec<Ways> = Vec::with_capacity(targets.len());
        for target in &mut targets {
            let mut others = Vec::new();
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
                    Some(other) => others.push((worth, From { slot: *other, new: false })),
                    None if worth < best => (best, target.kept) = (worth, Some(from)),
                    None => {}
                }
            }
            target.alone = best;
            ways.push(Ways { alone: best, others });
        }
        let hoped = self.written(&targets, &mut ways);
        let (from, found) = choice::least(&ways);
        let bound = if hoped == ways { found } else { choice::least(&hoped).1 };
        let order = order(&targets, &from);
        let work = order.into_iter().filter_map(|t| {
            let from = from.get(t).copied().flatten().and_then(|f| Some((targets.get(f.slot)?, f.new)));
            self.work(targets.get(t)?, from)
        });
        let work: Vec<Work> = work.collect();
        let count = work.iter().map(Work::count).sum::<usize>() as u32;
        WorkList { work, fewest: self.whole.then_some(bound.min(count)) }
    }

    /// Adds the presets that the list itself writes as sources, and leaves out what takes no less than editing in place.
    /// What such a preset holds in cells that are free there hangs on how it was written: it is taken not to be known.
    /// Gives the ways as they are when all that turns out well.
    fn written(&self, targets: &[Target], ways: &mut [Ways]) -> Vec<Ways> {
        let mut hoped = ways.to_vec();
        let mut first: FxHashMap<u32, usize> = FxHashMap::default();
        for (at, target) in targets.iter().enumerate() {
            first.entry(target.scene).or_insert(at);
        }
        for (at, (target, (ways, hoped))) in targets.iter().zip(ways.iter_mut().zip(&mut hoped)).enumerate() {
            let own = || first.get(&target.scene).copied().into_iter().collect();
            let sources: Vec<usize> = if self.whole { (0..targets.len()).collect() } else { own() };
            for slot in sources.into_iter().filter(|slot| *slot != at) {
                let Some(source) = targets.get(slot) else { continue };
                let (sure, least) = self.memory.from_written(&source.wanted, &target.wanted);
                ways.others.push((1 + sure, From { slot, new: true }));
                hoped.others.push((1 + least, From { slot, new: true }));
            }
            for ways in [ways, hoped] {
                ways.others.retain(|(cost, _)| *cost < ways.alone);
                ways.others.sort_unstable();
            }
        }
        hoped
    }

    /// Where a target may be filled from, as places in the old memory.
    fn sources(&self, target: &Target) -> Vec<usize> {
        if self.whole {
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

    /// What to do in one slot; `from` is another target, with whether it is read as this list has written it.
    fn work(&self, target: &Target, from: Option<(&Target, bool)>) -> Option<Work> {
        let kept =
            || target.kept.and_then(|at| self.memory.holds.get(at)).map(|(slot, scene)| Source::Old(*slot, *scene));
        let from = match from {
            Some((other, true)) => Some(Source::New(other.slot, other.scene)),
            Some((other, false)) => Some(Source::Old(other.slot, other.was?)),
            None => kept(),
        };
        let scene = match from {
            Some(Source::Old(_, scene)) => Some(scene),
            Some(Source::New(..)) => None,
            None => target.was,
        };
        let wrote = match from {
            Some(Source::New(_, scene)) => Some(scene),
            _ => None,
        };
        let held = match wrote {
            Some(scene) => Held::written(&self.memory.wanted(scene)),
            None => self.memory.held(scene),
        };
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
        let (mut before, after) = self.memory.labels(scene, target.scene);
        if let Some(scene) = wrote {
            before = self.memory.labels(None, scene).1;
        }
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

/// Whoever reads a slot's old preset comes before it is overwritten, whoever reads the new one after; else by slot.
fn order(targets: &[Target], from: &[Option<From>]) -> Vec<usize> {
    let mut before = vec![0usize; targets.len()];
    let mut behind: Vec<Vec<usize>> = vec![Vec::new(); targets.len()];
    for (slot, from) in from.iter().enumerate() {
        let Some(from) = from else { continue };
        let (first, second) = if from.new { (from.slot, slot) } else { (slot, from.slot) };
        if let (Some(count), Some(list)) = (before.get_mut(second), behind.get_mut(first)) {
            *count += 1;
            list.push(second);
        }
    }
    let slot = |t: usize| targets.get(t).map(|t| t.slot);
    let free = |(t, count): (usize, &usize)| (*count == 0).then(|| Reverse((slot(t), t)));
    let mut ready: BinaryHeap<_> = before.iter().enumerate().filter_map(free).collect();
    let mut out = Vec::with_capacity(targets.len());
    while let Some(Reverse((_, t))) = ready.pop() {
        out.push(t);
        for next in behind.get(t).into_iter().flatten() {
            if let Some(count) = before.get_mut(*next) {
                *count -= 1;
                if *count == 0 {
                    ready.push(Reverse((slot(*next), *next)));
                }
            }
        }
    }
    out
}
