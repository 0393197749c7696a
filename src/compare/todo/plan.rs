//! What must be done to the switcher: cells to set, grouped by slot, in an order that loses nothing still needed.
//!
//! A slot is filled by editing what it holds, or by storing another slot's preset there, as it was or as this list has
//! just written it, and editing that. Storing counts as one thing to do, and so does each cell and the name. A cell that
//! is free in the new book is left as it is, unless a rule of the new book would break.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use rustc_hash::{FxHashMap, FxHashSet};

use super::choice::{self, From, Ways};
use super::work::{Edit, Source, Work, WorkList};
use crate::Compiled;
use crate::book::Slot;
use crate::compare::options::Options;
use crate::compare::pairing::Matched;
use crate::compare::stored::memory::{Held, Memory, Wanted};
use crate::compare::stored::{Column, Store};
use crate::ids::SceneId;
use crate::settle::Value;

/// The most pairs of slots that are looked at for the least work; beyond, a slot is filled from what it holds, from
/// where its own scene was stored, or from where this list stored it.
const MOST_PAIRS: usize = 400_000;

/// A slot that must change.
pub(super) struct Target {
    pub slot: Slot,
    pub scene: SceneId,
    pub was: Option<SceneId>,
    pub wanted: Wanted,
    /// What editing in place takes.
    pub alone: u32,
    /// The best preset that no work overwrites, when it takes less.
    kept: Option<usize>,
}

/// The slot as one that must change; None when it holds the scene already.
pub(super) fn target(memory: &Memory<'_>, slot: Slot, scene: SceneId) -> Option<Target> {
    let was = memory.holds_in(slot);
    if memory.plainly_same(was, scene) {
        return None;
    }
    let wanted = memory.wanted(scene);
    let alone = cost(memory, &memory.held(was), was, &wanted);
    (alone > 0).then_some(Target { slot, scene, was, wanted, alone, kept: None })
}

/// A slot whose cells are right.
pub(super) fn as_it_is(memory: &Memory<'_>, slot: Slot, scene: SceneId) -> Target {
    Target { slot, scene, was: memory.holds_in(slot), wanted: memory.wanted(scene), alone: 0, kept: None }
}

/// The least work that turns the old memory into the new one.
pub(super) fn list(old: &Compiled, new: &Compiled, matched: &Matched, options: Options) -> WorkList {
    let memory = Memory::of(old, new, options.exact);
    let targets: Vec<Target> = memory.wants.iter().filter_map(|(slot, scene)| target(&memory, *slot, *scene)).collect();
    Planner::new(&memory, matched, options.copies, targets.len()).plan(targets)
}

/// Which slots must change.
pub(super) fn stale(old: &Compiled, new: &Compiled) -> BTreeSet<Slot> {
    let memory = Memory::of(old, new, false);
    memory.wants.iter().filter_map(|(slot, scene)| Some(target(&memory, *slot, *scene)?.slot)).collect()
}

/// What it takes to make what is held the wanted scene.
pub(super) fn cost(memory: &Memory<'_>, held: &Held, was: Option<SceneId>, wanted: &Wanted) -> u32 {
    let (before, after) = memory.labels(was, wanted.scene);
    memory.distance(held, wanted) + u32::from(after.is_some() && before != after)
}

/// Finds from where slots are filled.
pub(super) struct Planner<'m> {
    memory: &'m Memory<'m>,
    matched: &'m Matched,
    /// For each old scene: the first place that holds it.
    origin: Vec<Option<usize>>,
    /// All pairs of slots are looked at.
    whole: bool,
    /// A preset may be stored in another slot.
    copies: bool,
    /// Banks and switches whose slot has two rows, before or after: nobody knows whether a unit brings both along, so
    /// nothing is stored from there or to there.
    rows: FxHashSet<(u32, u32)>,
}

impl<'m> Planner<'m> {
    pub(super) fn new(memory: &'m Memory<'m>, matched: &'m Matched, copies: bool, targets: usize) -> Planner<'m> {
        let mut origin = vec![None; memory.old.book.show.scenes.len()];
        for (at, (_, scene)) in memory.holds.iter().enumerate().rev() {
            if let Some(first) = origin.get_mut(scene.index()) {
                *first = Some(at);
            }
        }
        let whole = targets * (memory.holds.len() + targets) <= MOST_PAIRS;
        let slots = memory.holds.iter().chain(&memory.wants).map(|(slot, _)| slot).filter(|slot| slot.again);
        let rows = slots.map(|slot| (slot.bank, slot.switch)).collect();
        Planner { memory, matched, origin, whole, copies, rows }
    }

    fn plan(&self, mut targets: Vec<Target>) -> WorkList {
        let at: FxHashMap<Slot, usize> = targets.iter().enumerate().map(|(i, t)| (t.slot, i)).collect();
        // What each slot holds before anything is done.
        let mut held: Vec<Held> = Vec::new();
        if self.whole && self.copies && !targets.is_empty() {
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
        let hoped = if self.copies { self.written(&targets, &mut ways) } else { ways.clone() };
        let (from, found) = choice::least(&ways);
        let bound = if hoped == ways { found } else { choice::least(&hoped).1 };
        let order = order(&targets, &from);
        // What each slot holds once it is written: more than is known before the order stands.
        let mut written: Vec<Option<Held>> = targets.iter().map(|_| None).collect();
        let mut work: Vec<Work> = Vec::with_capacity(targets.len());
        for t in order {
            let Some(target) = targets.get(t) else { continue };
            let from = match from.get(t).copied().flatten() {
                Some(From { slot, new }) => match (targets.get(slot), written.get(slot).and_then(Option::as_ref)) {
                    (Some(other), Some(held)) if new => Start::Written(other, held),
                    (Some(other), _) => Start::Old(other.slot, other.was),
                    (None, _) => Start::Here,
                },
                None => Start::Here,
            };
            let (done, held) = self.work(target, from);
            work.push(done);
            if let Some(slot) = written.get_mut(t) {
                *slot = Some(held);
            }
        }
        let count = work.iter().map(Work::count).sum::<usize>() as u32;
        let barred = self.rows.len();
        WorkList { work, fewest: (self.whole || !self.copies).then_some(bound.min(count)), barred }
    }

    /// Adds the presets that the list itself writes as sources, and leaves out what takes no less than editing in place.
    /// What such a preset holds in cells that are free there hangs on how it was written: it is taken not to be known.
    /// Gives the ways as they are when all that turns out well.
    fn written(&self, targets: &[Target], ways: &mut [Ways]) -> Vec<Ways> {
        let mut hoped = ways.to_vec();
        let mut first: FxHashMap<SceneId, usize> = FxHashMap::default();
        for (at, target) in targets.iter().enumerate() {
            first.entry(target.scene).or_insert(at);
        }
        for (at, (target, (ways, hoped))) in targets.iter().zip(ways.iter_mut().zip(&mut hoped)).enumerate() {
            let own = || first.get(&target.scene).copied().into_iter().collect();
            let sources: Vec<usize> = if self.whole { (0..targets.len()).collect() } else { own() };
            for slot in sources.into_iter().filter(|slot| *slot != at && self.moves(target.slot)) {
                let Some(source) = targets.get(slot).filter(|source| self.moves(source.slot)) else { continue };
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
    pub(super) fn sources(&self, target: &Target) -> Vec<usize> {
        if !self.moves(target.slot) {
            return Vec::new();
        }
        let moves = |at: &usize| self.memory.holds.get(*at).is_some_and(|(slot, _)| self.moves(*slot));
        if self.whole {
            return (0..self.memory.holds.len()).filter(moves).collect();
        }
        let own = self.matched.scenes.old_of(target.scene);
        own.and_then(|scene| self.origin.get(scene.index()).copied().flatten()).filter(moves).into_iter().collect()
    }

    /// The preset of a slot may be stored elsewhere, and another one there.
    pub(super) fn moves(&self, slot: Slot) -> bool {
        self.copies && !self.rows.contains(&(slot.bank, slot.switch))
    }

    /// The value as the table has it, which knows from where a foot starts.
    fn value(&self, scene: SceneId, column: &Column, store: Store) -> Value {
        let own = self.memory.new.table.value(scene, column.cell);
        if column.store(own) == store { own } else { column.value(store) }
    }

    /// What it takes to make what the list wrote in another slot the target's.
    pub(super) fn from(&self, held: &Held, other: &Target, target: &Target) -> u32 {
        let (before, after) = (self.memory.labels(None, other.scene).1, self.memory.labels(None, target.scene).1);
        self.memory.turn(held, &target.wanted).len() as u32 + u32::from(after.is_some() && before != after)
    }

    /// What to do in one slot, and what it holds then.
    pub(super) fn work(&self, target: &Target, start: Start<'_>) -> (Work, Held) {
        let kept = target.kept.and_then(|at| self.memory.holds.get(at)).map(|(slot, scene)| (*slot, Some(*scene)));
        let start = match (start, kept) {
            (Start::Here, Some((slot, scene))) => Start::Old(slot, scene),
            (start, _) => start,
        };
        // The old scene that is edited, and where it came from.
        let (scene, from) = match start {
            Start::Here => (target.was, None),
            Start::Old(slot, scene) => (scene, scene.map(|scene| Source::Old(slot, scene))),
            Start::Written(other, _) => (None, Some(Source::New(other.slot, other.scene))),
        };
        let (mut held, before) = match start {
            Start::Written(other, held) => (held.clone(), self.memory.labels(None, other.scene).1),
            _ => (self.memory.held(scene), self.memory.labels(scene, target.scene).0),
        };
        let columns = self.memory.turn(&held, &target.wanted);
        held.set(&columns);
        let edit = |(at, store): (usize, Store)| {
            let column = self.memory.columns.get(at)?;
            Some(Edit {
                wire: column.wire,
                cell: column.cell,
                was: scene.and_then(|s| self.memory.was(s, at)),
                now: self.value(target.scene, column, store),
            })
        };
        let after = self.memory.labels(None, target.scene).1;
        let work = Work {
            slot: target.slot,
            was: target.was,
            now: target.scene,
            from,
            label: after.filter(|_| before != after).map(str::to_owned),
            edits: columns.into_iter().filter_map(edit).collect(),
        };
        (work, held)
    }
}

/// What a slot is filled from.
#[derive(Clone, Copy)]
pub(super) enum Start<'t> {
    /// What it holds.
    Here,
    /// What a slot held before.
    Old(Slot, Option<SceneId>),
    /// What the list has written in another.
    Written(&'t Target, &'t Held),
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
