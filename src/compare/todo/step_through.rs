//! Which presets to step through when the work is done.

use std::collections::BTreeSet;

use rustc_hash::{FxHashMap, FxHashSet};

use super::work::Work;
use crate::Compiled;
use crate::book::Slot;
use crate::compare::stored::{Column, Store, Stored, Wire, columns, memory};
use crate::ids::{ColumnId, SceneId};
use crate::settle::{Answer, Row};
use crate::study::cover::{Cover, cover};

/// Presets to step through, so that everything changed is seen once.
#[derive(Clone, Debug, Default)]
pub struct StepThrough {
    /// The slots, in order, each with its scene and how many changes it shows that no earlier one did.
    pub steps: Vec<(Slot, SceneId, usize)>,
    /// How many changes there are to see.
    pub changes: usize,
    /// No fewer presets show all of them.
    pub fewest: bool,
}

/// What is tested: that a cell was changed to a value, or that a loop that was rewired is heard.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Change(Wire, Store);

/// The fewest presets that show every change: each cell in each value that the work stores there, each rewired loop
/// engaged. Exact while it is quick.
pub(super) fn step_through(new: &Compiled, work: &[Work], rewired: &BTreeSet<u16>) -> StepThrough {
    let columns = columns(new);
    let by_cell: FxHashMap<ColumnId, &Column> = columns.iter().map(|c| (c.cell, c)).collect();
    let mut numbers: FxHashMap<Change, usize> = FxHashMap::default();
    let mut number = |change: Change| {
        let next = numbers.len();
        *numbers.entry(change).or_insert(next)
    };
    // What each slot's own work shows: a free cell that a rule asks for, too.
    let mut own: FxHashMap<Slot, Vec<usize>> = FxHashMap::default();
    for work in work {
        let stored = work.edits.iter().filter_map(|e| Some(Change(e.wire, by_cell.get(&e.cell)?.store(e.now))));
        own.insert(work.slot, stored.map(&mut number).collect());
    }
    let rows = memory(new);
    let heard = |row: &Stored, n: u16| Row::of(&new.book, &new.table, row.scene).engaged(n) == Answer::Yes;
    for n in rewired.iter().filter(|n| rows.iter().any(|row| heard(row, **n))) {
        number(Change(Wire::Loop(*n), Store::On));
    }
    // A preset shows what its row holds, whoever put it there: this list, a copy, or an earlier tour.
    let mut shows: Vec<(Slot, SceneId, Vec<usize>)> = Vec::new();
    let mut known: FxHashSet<Vec<usize>> = FxHashSet::default();
    for row in &rows {
        let mut seen = own.remove(&row.slot).unwrap_or_default();
        let settled = columns.iter().filter(|c| !new.table.idle(row.scene, c.cell));
        let held = settled.map(|c| Change(c.wire, c.store(new.table.stored(row.scene, c.cell))));
        seen.extend(held.filter_map(|change| numbers.get(&change).copied()));
        let loops = rewired.iter().filter(|n| heard(row, **n)).map(|n| Change(Wire::Loop(*n), Store::On));
        seen.extend(loops.filter_map(|change| numbers.get(&change).copied()));
        seen.sort_unstable();
        seen.dedup();
        // Of presets that show the same, the first will do.
        if !seen.is_empty() && known.insert(seen.clone()) {
            shows.push((row.slot, row.scene, seen));
        }
    }
    let changes = numbers.len();
    let sets: Vec<&[usize]> = shows.iter().map(|(_, _, seen)| seen.as_slice()).collect();
    let Cover { chosen, bound } = cover(&sets, changes);
    let fewest = chosen.len() == bound;
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
