//! Which presets to step through when the work is done.

use std::collections::BTreeSet;

use rustc_hash::FxHashMap;

use super::cover::cover;
use super::work::Work;
use crate::Compiled;
use crate::book::Slot;
use crate::compare::stored::{Store, Wire, columns, memory};
use crate::settle::{Answer, Row};

/// Presets to step through, so that everything changed is seen once.
#[derive(Clone, Debug, Default)]
pub struct StepThrough {
    /// The slots, in order, each with its scene and how many changes it shows that no earlier one did.
    pub steps: Vec<(Slot, u32, usize)>,
    /// How many changes there are to see.
    pub changes: usize,
    /// No fewer presets show all of them.
    pub fewest: bool,
}

/// What is tested: that a cell was changed to a value, or that a loop that was rewired is heard.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Change(Wire, Store);

/// The fewest presets that show every change: each cell in each value that the work stores there, each rewired loop
/// engaged. Exact while it is quick.
pub(super) fn step_through(new: &Compiled, work: &[Work], rewired: &BTreeSet<u16>) -> StepThrough {
    let columns: FxHashMap<u16, _> = columns(new).into_iter().map(|c| (c.cell, c)).collect();
    let mut numbers: FxHashMap<Change, usize> = FxHashMap::default();
    let mut shows: Vec<(Slot, u32, Vec<usize>)> = Vec::new();
    let mut number = |change: Change| {
        let next = numbers.len();
        *numbers.entry(change).or_insert(next)
    };
    let worked: FxHashMap<Slot, &Work> = work.iter().map(|w| (w.slot, w)).collect();
    for row in memory(new) {
        let mut seen: Vec<usize> = Vec::new();
        if let Some(work) = worked.get(&row.slot) {
            let stored = work.edits.iter().filter_map(|e| Some(Change(e.wire, columns.get(&e.cell)?.store(e.now))));
            seen.extend(stored.map(&mut number));
        }
        for n in rewired {
            if Row::of(&new.book, &new.table, row.scene).engaged(*n) == Answer::Yes {
                seen.push(number(Change(Wire::Loop(*n), Store::On)));
            }
        }
        seen.sort_unstable();
        seen.dedup();
        if !seen.is_empty() {
            shows.push((row.slot, row.scene, seen));
        }
    }
    let changes = numbers.len();
    let sets: Vec<&[usize]> = shows.iter().map(|(_, _, seen)| seen.as_slice()).collect();
    let (chosen, fewest) = cover(&sets, changes);
    let mut told = vec![false; changes];
    let mut steps = Vec::new();
    for at in chosen {
        let Some((slot, scene, seen)) = shows.get(at) else { continue };
        let mut fresh = 0;
        for change in seen {
            if let Some(flag) = told.get_mut(*change).filter(|flag| !**flag) {
                *flag = true;
                fresh += 1;
            }
        }
        steps.push((*slot, *scene, fresh));
    }
    StepThrough { steps, changes, fewest }
}
