//! Values for free contacts, so that the fewest contacts move over the sets.
//!
//! Each consecutive pair of parts in each set weighs 1. A contact by itself is a labelling in two values with pairwise
//! costs: an exact minimum cut. A bypassed pedal keeps to a pattern that its control lists (or to the one it rests
//! in), which couples the contacts of one control: branch and bound then, with the gap told. Of equally few moves the
//! one nearest to what is settled wins.

mod branch;
mod cut;
mod graph;

use std::collections::BTreeMap;

use crate::book::{Book, How};
use crate::settle::{CellKind, Table, Value};
use graph::{Graph, Label, label};

/// What was chosen, and what it saves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filled {
    /// Contacts that move over all sets with free cells at rest.
    pub open: u64,
    /// With free cells as chosen.
    pub least: u64,
    /// No choice can do with fewer.
    pub bound: u64,
    /// Each contact whose moves changed: its column, and its moves at rest and as chosen.
    pub contacts: Vec<(u16, u64, u64)>,
    /// What was chosen, where it is not what was settled: scene, column, value.
    pub values: Vec<(u32, u16, Value)>,
}

impl Filled {
    /// How far the choice may be from the best.
    pub fn gap(&self) -> u64 {
        self.least - self.bound.min(self.least)
    }
}

/// Contacts that must be chosen together.
struct Group {
    /// Their columns.
    cells: Vec<u16>,
    /// What couples them: places in `cells`, and the patterns that may stand there.
    controls: Vec<(Vec<usize>, Vec<Vec<bool>>)>,
}

/// How many rules a scene breaks when its cells hold these values.
pub type Breaks<'r> = dyn Fn(u32, &dyn Fn(u16) -> Value) -> usize + 'r;

/// Free contacts of one scene that are tried in every pattern to keep a rule.
const MOST_TRIED: usize = 10;

/// Chooses. A scene never breaks more rules than the best that its free contacts could do.
pub fn fill(book: &Book, table: &Table, breaks: Option<&Breaks<'_>>) -> Filled {
    let sequences = graph::sequences(book);
    let mut work = Work { table, breaks, base: BTreeMap::new(), chosen: BTreeMap::new(), out: Filled::default() };
    work.keep_rules(book);
    for group in groups(book, table) {
        let graphs: Vec<Graph> =
            group.cells.iter().map(|c| Graph::of(*c, &sequences, &|s, c| work.label(s, c))).collect();
        let at_rest = |c: &u16| Graph::of(*c, &sequences, &|s, c| label(table, s, c)).settled_moves();
        let open = match work.base.is_empty() {
            true => graphs.iter().map(Graph::settled_moves).collect(),
            false => group.cells.iter().map(at_rest).collect(),
        };
        work.solve(&group, graphs, open);
    }
    let Work { base, chosen, mut out, .. } = work;
    let all: BTreeMap<(u32, u16), bool> = base.into_iter().chain(chosen).collect();
    let values = all.into_iter().map(|((scene, cell), on)| (scene, cell, Value::of(on)));
    out.values = values.filter(|(scene, cell, value)| table.value(*scene, *cell) != *value).collect();
    out.contacts.sort_unstable();
    out
}

struct Work<'w> {
    table: &'w Table,
    breaks: Option<&'w Breaks<'w>>,
    /// Free cells that must not rest, for a rule's sake.
    base: BTreeMap<(u32, u16), bool>,
    chosen: BTreeMap<(u32, u16), bool>,
    out: Filled,
}

impl Work<'_> {
    fn label(&self, scene: u32, cell: u16) -> Label {
        match (label(self.table, scene, cell), self.base.get(&(scene, cell))) {
            (Label::Free { .. }, Some(on)) => Label::Free { rests: *on },
            (label, _) => label,
        }
    }

    /// What a cell holds so far.
    fn holds(&self, scene: u32, cell: u16) -> Value {
        let place = (scene, cell);
        let chosen = self.chosen.get(&place).or_else(|| self.base.get(&place));
        chosen.map_or_else(|| self.table.value(scene, cell), |on| Value::of(*on))
    }

    /// Where a row at rest breaks a rule, its free contacts take the nearest pattern that breaks fewest.
    fn keep_rules(&mut self, book: &Book) {
        let Some(breaks) = self.breaks else { return };
        let contacts: Vec<u16> = (0..self.table.cells.len() as u16).filter(|c| contact(self.table, *c)).collect();
        for scene in 0..book.show.scenes.len() as u32 {
            let mut least = breaks(scene, &|cell| self.table.value(scene, cell));
            let free = contacts.iter().filter(|c| matches!(label(self.table, scene, **c), Label::Free { .. }));
            let free: Vec<u16> = free.copied().collect();
            if least == 0 || free.is_empty() || free.len() > MOST_TRIED {
                continue;
            }
            let mut masks: Vec<u32> = (1..1u32 << free.len()).collect();
            masks.sort_by_key(|m| (m.count_ones(), *m));
            for mask in masks {
                let turned = |cell: u16| free.iter().position(|f| *f == cell).is_some_and(|i| mask & (1 << i) != 0);
                let row = |cell: u16| match (self.table.value(scene, cell), turned(cell)) {
                    (Value::On, true) => Value::Off,
                    (Value::Off, true) => Value::On,
                    (value, _) => value,
                };
                let now = breaks(scene, &row);
                if now < least {
                    least = now;
                    let base = free.iter().map(|c| ((scene, *c), row(*c) == Value::On));
                    self.base.extend(base.collect::<Vec<_>>());
                }
                if least == 0 {
                    break;
                }
            }
        }
    }

    fn solve(&mut self, group: &Group, mut graphs: Vec<Graph>, open: Vec<u64>) {
        let mut first_bound = None;
        let labels = loop {
            let (labels, bound) = branch::solve(&graphs, &group.controls);
            // What a rule forbids later can only cost more than the first bound.
            first_bound.get_or_insert(bound);
            let broken = self.broken(group, &graphs, &labels);
            if broken.is_empty() {
                break labels;
            }
            graphs.iter_mut().for_each(|g| broken.iter().for_each(|scene| g.pin(*scene)));
        };
        self.out.bound += first_bound.unwrap_or(0);
        for (((graph, chosen), cell), open) in graphs.iter().zip(&labels).zip(&group.cells).zip(open) {
            let least = graph.moves(chosen);
            self.out.open += open;
            self.out.least += least;
            if open != least {
                self.out.contacts.push((*cell, open, least));
            }
            self.chosen.extend(chosen.iter().map(|(scene, on)| ((*scene, *cell), *on)));
        }
    }

    /// Scenes that break more rules with the choice than without.
    fn broken(&self, group: &Group, graphs: &[Graph], labels: &[BTreeMap<u32, bool>]) -> Vec<u32> {
        let Some(breaks) = self.breaks else { return Vec::new() };
        let scenes: std::collections::BTreeSet<u32> = graphs.iter().flat_map(Graph::free).collect();
        let worse = |scene: &u32| {
            let row = |cell: u16| {
                let place = group.cells.iter().position(|c| *c == cell);
                let chosen = place.and_then(|p| labels.get(p)?.get(scene).copied());
                chosen.map_or_else(|| self.holds(*scene, cell), Value::of)
            };
            breaks(*scene, &row) > breaks(*scene, &|cell| self.holds(*scene, cell))
        };
        scenes.into_iter().filter(worse).collect()
    }
}

/// A latching contact.
fn contact(table: &Table, cell: u16) -> bool {
    let cell = table.cells.list.get(cell as usize);
    cell.is_some_and(|cell| matches!(cell.kind, CellKind::Contact(_)) && cell.rest != Value::Stays)
}

/// Contacts by what couples them: the controls that have several.
fn groups(book: &Book, table: &Table) -> Vec<Group> {
    let mut groups: Vec<Group> = (0..table.cells.len() as u16)
        .filter(|c| contact(table, *c))
        .map(|c| Group { cells: vec![c], controls: Vec::new() })
        .collect();
    for (d, device) in book.board.devices.iter().enumerate() {
        for (c, control) in device.controls.iter().enumerate() {
            let How::Remote { momentary: false, .. } = control.how else { continue };
            let columns = table.cells.of_control(d as u16, c as u16);
            let patterns: Vec<Vec<bool>> = control.states.iter().map(|s| s.pattern.clone()).collect();
            let mut merged = Group { cells: Vec::new(), controls: Vec::new() };
            let (with, without): (Vec<Group>, Vec<Group>) =
                groups.into_iter().partition(|g| g.cells.iter().any(|c| columns.contains(c)));
            groups = without;
            for group in with {
                let shift = merged.cells.len();
                merged.cells.extend(group.cells);
                let moved = group.controls.into_iter();
                merged.controls.extend(moved.map(|(at, p)| (at.into_iter().map(|i| i + shift).collect(), p)));
            }
            let place = |column: &u16| merged.cells.iter().position(|m| m == column);
            let at: Vec<usize> = columns.iter().filter_map(place).collect();
            if at.len() == columns.len() && !columns.is_empty() && !complete(&patterns, columns.len()) {
                merged.controls.push((at, patterns));
            }
            groups.push(merged);
        }
    }
    groups.retain(|g| !g.cells.is_empty());
    // Contacts that nothing ties together are chosen one by one.
    groups.into_iter().flat_map(Group::split).collect()
}

/// Every pattern is listed: the contacts are free of each other.
fn complete(patterns: &[Vec<bool>], contacts: usize) -> bool {
    let mut distinct = patterns.to_vec();
    distinct.sort();
    distinct.dedup();
    contacts < 16 && distinct.len() == 1 << contacts
}

impl Group {
    fn split(self) -> Vec<Group> {
        if !self.controls.is_empty() {
            return vec![self];
        }
        self.cells.into_iter().map(|c| Group { cells: vec![c], controls: Vec::new() }).collect()
    }
}

/// Writes the choice into the table.
pub fn store(filled: &Filled, table: &mut Table) {
    for (scene, cell, value) in &filled.values {
        table.choose(*scene, *cell, *value);
    }
}
