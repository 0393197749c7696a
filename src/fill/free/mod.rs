//! Values for free cells: what the rules ask of them, and for contacts the choice with which the fewest move over the sets.
//!
//! Each consecutive pair of parts in each set weighs 1. A contact by itself is a labelling in two values with pairwise
//! costs: an exact minimum cut. Rules couple the free contacts of one scene: branch and bound then, with the gap told. Of
//! equally few moves the one nearest to an empty preset wins, for that much need not be typed in. What is later left as it
//! is, under a device that sounds, is not free to choose: it stays as settled.

mod branch;
mod cut;
mod graph;
mod ruled;

pub use ruled::{Breaks, Ruled};

use std::collections::BTreeMap;

use crate::book::Book;
use crate::ids::{ColumnId, SceneId};
use crate::settle::{CellKind, Table, Value};
use branch::Bindings;
use graph::{Graph, Label, label};
use ruled::Allowed;

/// What was chosen, and what it saves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filled {
    /// The fewest moves were looked for; else the numbers below are none.
    pub searched: bool,
    /// Contacts that move over all sets with free cells at rest.
    pub open: u64,
    /// With free cells as chosen.
    pub least: u64,
    /// No choice can do with fewer.
    pub bound: u64,
    /// Each contact whose moves changed: its column, and its moves at rest and as chosen.
    pub contacts: Vec<(ColumnId, u64, u64)>,
    /// What was chosen, where it is not what is stored otherwise: scene, column, value.
    pub values: Vec<(SceneId, ColumnId, Value)>,
}

impl Filled {
    /// How far the choice may be from the best.
    pub fn gap(&self) -> u64 {
        self.least - self.bound.min(self.least)
    }
}

/// Chooses; with `least`, so that the fewest contacts move. A scene never breaks more rules than the best that its free
/// cells could do.
pub fn fill(book: &Book, table: &Table, ruled: &[Ruled<'_>], least: bool) -> Filled {
    let allowed = ruled.iter().filter_map(|r| Some((r.scene, r.allowed(&|cell| table.stands(r.scene, cell))?)));
    let mut work = Work {
        table,
        allowed: allowed.collect(),
        chosen: BTreeMap::new(),
        out: Filled { searched: least, ..Filled::default() },
    };
    for (scene, allowed) in &work.allowed {
        let nearest = allowed.patterns.first();
        let pairs = allowed.cells.iter().zip(nearest.into_iter().flatten());
        work.chosen.extend(pairs.map(|(cell, on)| ((*scene, *cell), *on)));
    }
    if least {
        let sequences = graph::sequences(book);
        for group in work.groups() {
            work.solve(&group, &sequences);
        }
    }
    work.finish()
}

struct Work<'w> {
    table: &'w Table,
    /// What rules leave to choose, by scene.
    allowed: BTreeMap<SceneId, Allowed>,
    /// Closed or open, by scene and contact.
    chosen: BTreeMap<(SceneId, ColumnId), bool>,
    out: Filled,
}

impl Work<'_> {
    /// How a scene holds a contact before the fewest moves are looked for.
    fn label(&self, scene: SceneId, cell: ColumnId) -> Label {
        match (label(self.table, scene, cell), self.chosen.get(&(scene, cell))) {
            (Label::Free { rests }, chosen) => Label::Free { rests: chosen.copied().unwrap_or(rests) },
            // What a rule asks of a contact that is left as it is later.
            (Label::Fixed(_), Some(chosen)) => Label::Fixed(*chosen),
            (label, _) => label,
        }
    }

    /// Contacts by what ties them together: the rules of some scene.
    fn groups(&self) -> Vec<Vec<ColumnId>> {
        let contacts = self.table.cells.list.ids().filter(|c| contact(self.table, *c));
        let mut groups: Vec<Vec<ColumnId>> = contacts.map(|c| vec![c]).collect();
        let mut tied: Vec<&Vec<ColumnId>> = self.allowed.values().map(|a| &a.cells).collect();
        tied.sort();
        tied.dedup();
        for cells in tied {
            let (with, without): (Vec<_>, Vec<_>) =
                groups.into_iter().partition(|g| g.iter().any(|c| cells.contains(c)));
            groups = without;
            let mut merged: Vec<ColumnId> = with.concat();
            merged.sort_unstable();
            groups.extend((!merged.is_empty()).then_some(merged));
        }
        groups
    }

    fn solve(&mut self, group: &[ColumnId], sequences: &[Vec<Option<SceneId>>]) {
        let graphs: Vec<Graph> = group.iter().map(|c| Graph::of(*c, sequences, &|s, c| self.label(s, c))).collect();
        let (bindings, whole) = self.bindings(group, &graphs);
        let (labels, mut bound) = branch::solve(&graphs, &bindings);
        if !whole {
            // What was not looked at may move fewer: only the contacts by themselves bound it.
            bound = branch::solve(&graphs, &Bindings::new()).1;
        }
        self.out.bound += bound;
        for ((graph, chosen), cell) in graphs.iter().zip(&labels).zip(group) {
            let (open, least) = (graph.settled_moves(), graph.moves(chosen));
            self.out.open += open;
            self.out.least += least;
            if open != least {
                self.out.contacts.push((*cell, open, least));
            }
            self.chosen.extend(chosen.iter().map(|(scene, on)| ((*scene, *cell), *on)));
        }
    }

    /// What the rules ask of a group; and whether all choices for it were looked at.
    fn bindings(&self, group: &[ColumnId], graphs: &[Graph]) -> (Bindings, bool) {
        let (mut out, mut whole) = (Bindings::new(), true);
        for (scene, allowed) in &self.allowed {
            let places = allowed.cells.iter().filter_map(|c| group.iter().position(|g| g == c));
            let places: Vec<usize> = places.collect();
            if places.is_empty() || places.len() != allowed.cells.len() {
                continue;
            }
            let free: Vec<bool> = places.iter().map(|p| graphs.get(*p).is_some_and(|g| g.is_free(*scene))).collect();
            let nearest = allowed.patterns.first();
            // What is not free to choose here keeps to the nearest pattern.
            let fits = |pattern: &&Vec<bool>| {
                let fixed = pattern.iter().zip(nearest.into_iter().flatten()).zip(&free).filter(|(_, free)| !**free);
                fixed.into_iter().all(|((on, kept), _)| on == kept)
            };
            let some = |list: &[bool]| list.iter().zip(&free).filter(|(_, f)| **f).map(|(on, _)| *on).collect();
            let mut patterns: Vec<Vec<bool>> = Vec::new();
            for pattern in allowed.patterns.iter().filter(fits) {
                let pattern: Vec<bool> = some(pattern);
                if !patterns.contains(&pattern) {
                    patterns.push(pattern);
                }
            }
            let places: Vec<usize> = places.iter().zip(&free).filter(|(_, f)| **f).map(|(p, _)| *p).collect();
            if !places.is_empty() {
                whole &= allowed.whole;
                out.insert(*scene, (places, patterns));
            }
        }
        (out, whole)
    }

    fn finish(self) -> Filled {
        let Work { table, allowed, chosen, mut out, .. } = self;
        let mut values: BTreeMap<(SceneId, ColumnId), Value> =
            chosen.iter().map(|(at, on)| (*at, Value::of(*on))).collect();
        for (scene, allowed) in &allowed {
            let holds = |cell: &ColumnId| {
                let settled = || table.stored(*scene, *cell) == Value::On;
                chosen.get(&(*scene, *cell)).copied().unwrap_or_else(settled)
            };
            let stands: Vec<bool> = allowed.cells.iter().map(holds).collect();
            let at = allowed.patterns.iter().position(|p| *p == stands);
            let others = at.and_then(|at| allowed.others.get(at)).into_iter().flatten();
            values.extend(others.map(|(cell, value)| ((*scene, *cell), *value)));
        }
        let all = values.into_iter().map(|((scene, cell), value)| (scene, cell, value));
        out.values = all.filter(|(scene, cell, value)| table.stored(*scene, *cell) != *value).collect();
        out.contacts.sort_unstable();
        out
    }
}

/// A latching contact.
fn contact(table: &Table, cell: ColumnId) -> bool {
    let cell = table.cells.list.get(cell);
    cell.is_some_and(|cell| matches!(cell.kind, CellKind::Contact(_)) && cell.rest != Value::Stays)
}

/// Writes the choice into the table.
pub fn store(filled: &Filled, table: &mut Table) {
    for (scene, cell, value) in &filled.values {
        table.choose(*scene, *cell, *value);
    }
}
