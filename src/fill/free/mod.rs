//! Values for free contacts, so that the fewest contacts move over the sets.
//!
//! Each consecutive pair of parts in each set weighs 1. A contact by itself is a labelling in two values with pairwise
//! costs: an exact minimum cut. A bypassed pedal keeps to a pattern that its control lists (or to the one it rests
//! in), which couples the contacts of one control: branch and bound then, with the gap told. Of equally few moves the
//! one nearest to what is settled wins.

mod branch;
mod cut;
mod graph;

use crate::book::{Book, How};
use crate::settle::{CellKind, Table, Value};
use graph::{Graph, Label};

/// What was chosen, and what it saves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filled {
    /// Contacts that move over all sets with free cells at rest.
    pub open: u64,
    /// With free cells as chosen.
    pub least: u64,
    /// No choice can do with fewer.
    pub bound: u64,
    /// Each contact that has free cells: its column, and its moves at rest and as chosen.
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

/// Chooses. `keeps` says whether a scene, with its cells holding these values, keeps the rules that the settled row
/// keeps; a scene that would not is left as it is settled.
pub fn fill(book: &Book, table: &Table, keeps: &dyn Fn(u32, &dyn Fn(u16) -> Value) -> bool) -> Filled {
    let sequences = graph::sequences(book);
    let mut out = Filled::default();
    for group in groups(book, table) {
        let graphs: Vec<Graph> = group.cells.iter().map(|c| Graph::of(table, *c, &sequences)).collect();
        if graphs.iter().all(|g| g.free().is_empty()) {
            let moves = graphs.iter().map(Graph::settled_moves).sum::<u64>();
            (out.open, out.least, out.bound) = (out.open + moves, out.least + moves, out.bound + moves);
            continue;
        }
        solve(&group, graphs, table, keeps, &mut out);
    }
    out.values.sort_by_key(|(scene, cell, _)| (*scene, *cell));
    out.contacts.sort_unstable();
    out
}

fn solve(
    group: &Group,
    mut graphs: Vec<Graph>,
    table: &Table,
    keeps: &dyn Fn(u32, &dyn Fn(u16) -> Value) -> bool,
    out: &mut Filled,
) {
    let open: Vec<u64> = graphs.iter().map(Graph::settled_moves).collect();
    let mut first_bound = None;
    let labels = loop {
        let (labels, bound) = branch::solve(&graphs, &group.controls);
        // What a rule forbids later can only cost more than the first bound.
        let bound = *first_bound.get_or_insert(bound);
        let mut broken = Vec::new();
        for scene in graphs.iter().flat_map(Graph::free).collect::<std::collections::BTreeSet<u32>>() {
            let row = |cell: u16| {
                let place = group.cells.iter().position(|c| *c == cell);
                let chosen = place.and_then(|p| labels.get(p)?.get(&scene).copied());
                chosen.map_or_else(|| table.value(scene, cell), Value::of)
            };
            if !keeps(scene, &row) && keeps(scene, &|cell| table.value(scene, cell)) {
                broken.push(scene);
            }
        }
        if broken.is_empty() {
            break (labels, bound);
        }
        graphs.iter_mut().for_each(|g| broken.iter().for_each(|scene| g.pin(*scene)));
    };
    let (labels, bound) = labels;
    out.bound += bound;
    for (((graph, chosen), cell), open) in graphs.iter().zip(&labels).zip(&group.cells).zip(open) {
        let least = graph.moves(chosen);
        out.open += open;
        out.least += least;
        if !graph.free().is_empty() {
            out.contacts.push((*cell, open, least));
        }
        for (scene, on) in chosen {
            if graph.label(*scene) == (Label::Free { rests: !*on }) {
                out.values.push((*scene, *cell, Value::of(*on)));
            }
        }
    }
}

/// Contacts by what couples them: the controls that have several.
fn groups(book: &Book, table: &Table) -> Vec<Group> {
    let contact = |c: &u16| {
        let cell = table.cells.list.get(*c as usize);
        cell.is_some_and(|cell| matches!(cell.kind, CellKind::Contact(_)) && cell.rest != Value::Stays)
    };
    let mut groups: Vec<Group> =
        (0..table.cells.len() as u16).filter(contact).map(|c| Group { cells: vec![c], controls: Vec::new() }).collect();
    for (d, device) in book.devices.iter().enumerate() {
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
