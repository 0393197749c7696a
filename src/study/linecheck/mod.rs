//! The line check: the fewest presets to step through so that each loop, contact, level, message and output is used both
//! ways; and, where one failure has to be told from another, so that each has a pattern of its own.
//!
//! A preset uses a cell in a way when that is heard there: not in a preset that lets nothing out but the outputs themselves,
//! nor where the device is bypassed or its amp is cut off. What fails is one way of one cell: it is missed in every step
//! that uses it, and in no other.

pub mod apart;

use fixedbitset::FixedBitSet;
use rustc_hash::{FxHashMap, FxHashSet};

use super::cover::{self, Cover};
use super::inside::Inside;
use crate::book::{Book, Slot};
use crate::fill::Preset;
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Row, Table, Value};

/// So many presets that use different things are looked at for the fewest; of more, those that are needed and the first.
const MOST: usize = 800;

/// A way in which a cell is used. A level's ways are its lowest and its highest stored step, and the foot.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Use {
    /// The column.
    pub cell: ColumnId,
    /// What it holds. Of a momentary contact the state that the preset wishes for.
    pub value: Value,
}

/// What is checked.
#[derive(Clone, Debug, Default)]
pub struct Scope {
    /// Presets of these scenes alone.
    pub scenes: Option<FixedBitSet>,
    /// These cells alone.
    pub cells: Option<FixedBitSet>,
    /// Each failure has to have its own pattern.
    pub isolate: bool,
}

/// A preset to step to.
#[derive(Clone, Debug)]
pub struct Step {
    pub slot: Slot,
    pub scene: SceneId,
    /// What it uses, places in `LineCheck::uses`.
    pub uses: Vec<usize>,
    /// Those that no earlier step uses.
    pub fresh: Vec<usize>,
}

/// Failures that are missed in the same steps, and which.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Pattern {
    /// The steps, from 0.
    pub steps: Vec<usize>,
    /// What may have failed, places in `LineCheck::uses`: more than one where no preset tells them apart.
    pub uses: Vec<usize>,
}

/// The whole.
#[derive(Clone, Debug, Default)]
pub struct LineCheck {
    /// Every way of every cell that some preset uses, in board order.
    pub uses: Vec<Use>,
    /// The steps, in the order of the slots.
    pub steps: Vec<Step>,
    /// No fewer presets do.
    pub bound: usize,
    /// Cells that all presets use in one way alone.
    pub one_way: Vec<Use>,
    /// The patterns, when failures are told apart.
    pub patterns: Vec<Pattern>,
}

impl LineCheck {
    /// No fewer presets do, and that is proved.
    pub fn fewest(&self) -> bool {
        self.steps.len() == self.bound
    }
}

/// Checks the presets of a book.
pub fn study(book: &Book, table: &Table, presets: &[Preset], scope: &Scope) -> LineCheck {
    let wanted = |p: &&Preset| p.slot.is_some() && scope.scenes.as_ref().is_none_or(|s| s.contains(p.scene.index()));
    let mut known: FxHashMap<SceneId, Vec<Use>> = FxHashMap::default();
    let inside = Inside::of(&book.board);
    let filled: Vec<&Preset> = presets.iter().filter(wanted).collect();
    for preset in &filled {
        known
            .entry(preset.scene)
            .or_insert_with(|| used(book, table, inside.as_ref(), preset.scene, scope.cells.as_ref()));
    }
    let ends = ends(&known);
    for uses in known.values_mut() {
        uses.retain(|u| !matches!(u.value, Value::Step(_)) || ends.get(&u.cell).is_some_and(|e| e.contains(&u.value)));
    }
    let mut uses: Vec<Use> = known.values().flatten().copied().collect::<FxHashSet<Use>>().into_iter().collect();
    uses.sort_by_key(|u| (u.cell, order(u.value)));
    // A loop, contact or output that nothing hangs on, and that no preset closes, is no matter.
    let hangs =
        |cell: ColumnId| used_at_all(book, table, cell) || uses.iter().any(|u| u.cell == cell && u.value == Value::On);
    let idle: Vec<ColumnId> = table.cells.list.ids().filter(|cell| !hangs(*cell)).collect();
    uses.retain(|u| idle.binary_search(&u.cell).is_err());
    let number: FxHashMap<Use, usize> = uses.iter().copied().zip(0..).collect();
    let shows = |scene: SceneId| -> Vec<usize> {
        let mut shows: Vec<usize> =
            known.get(&scene).into_iter().flatten().filter_map(|u| number.get(u).copied()).collect();
        shows.sort_unstable();
        shows
    };
    let (candidates, cut) = candidates(&filled, uses.len(), shows);
    let columns = columns(&candidates, uses.len());
    let classes = classes(&columns);
    let holders = if scope.isolate { apart(&columns, &classes) } else { columns.clone() };
    let Cover { chosen, bound } = cover::over(&holders, candidates.len());
    let mut out = LineCheck {
        one_way: one_way(&uses),
        bound: match (cut, scope.isolate) {
            (false, false) => bound,
            (false, true) => bound.max(least_tests(classes.len())),
            (true, true) => least_tests(classes.len()),
            (true, false) => usize::from(!uses.is_empty()),
        },
        uses,
        ..LineCheck::default()
    };
    let mut seen = FixedBitSet::with_capacity(out.uses.len());
    for (slot, scene, uses) in chosen.iter().filter_map(|at| candidates.get(*at)) {
        let fresh = uses.iter().copied().filter(|u| !seen.put(*u)).collect();
        out.steps.push(Step { slot: *slot, scene: *scene, uses: uses.clone(), fresh });
    }
    if scope.isolate {
        out.patterns = classes
            .into_iter()
            .map(|uses| {
                let first = uses.first().copied().unwrap_or(0);
                let steps = out.steps.iter().enumerate().filter(|(_, step)| step.uses.binary_search(&first).is_ok());
                Pattern { steps: steps.map(|(at, _)| at).collect(), uses }
            })
            .collect();
        out.patterns.sort_by(|a, b| (&a.steps, &a.uses).cmp(&(&b.steps, &b.uses)));
    }
    out
}

/// Telling one failure of so many from the others, and from none, takes at least ⌈log₂(n+1)⌉ tests that pass or fail: the
/// information bound.
pub fn least_tests(failures: usize) -> usize {
    (failures + 1).next_power_of_two().ilog2() as usize
}

/// The ways in which a scene's preset uses the cells.
pub fn used(
    book: &Book,
    table: &Table,
    inside: Option<&Inside>,
    scene: SceneId,
    cells: Option<&FixedBitSet>,
) -> Vec<Use> {
    let row = Row::of(book, table, scene);
    let mut amps = book.board.devices.pairs().filter(|(_, d)| d.fed_by.is_some()).peekable();
    let heard = amps.peek().is_none() || amps.any(|(at, _)| row.fed(at) == Answer::Yes);
    let cut = inside.map(|inside| inside.cut_off_in(book, table, scene));
    let cut_off = |device: DeviceId| cut.as_ref().is_some_and(|cut| cut.contains(&device));
    let in_loop = |number: u16| book.board.loop_holds(number);
    let mut out = Vec::new();
    for (cell, at) in table.cells.list.numbered() {
        if cells.is_some_and(|c| !c.contains(at.index())) || table.is_free(scene, at) {
            continue;
        }
        let works = cell.users.is_empty() || cell.users.iter().any(|(device, _)| row.fed(*device) == Answer::Yes);
        let value = match cell.kind {
            CellKind::ByFoot { .. } => continue,
            CellKind::Output(_) => row.value(at),
            // What makes no sound is watched, whatever sounds.
            _ if cell.listens => row.value(at),
            _ if !heard || !works => continue,
            // In an insert or a leg that nobody hears.
            CellKind::Loop(number) if in_loop(number).is_some_and(cut_off) => continue,
            _ if !cell.users.is_empty() && cell.users.iter().all(|(device, _)| cut_off(*device)) => {
                continue;
            }
            _ => row.value(at),
        };
        let value = match value {
            value if value.foot() => value.unstarted(),
            Value::Stays | Value::Unknown => continue,
            value => value,
        };
        out.push(Use { cell: at, value });
    }
    out
}

/// Of each level the lowest and the highest step that is stored.
fn ends(known: &FxHashMap<SceneId, Vec<Use>>) -> FxHashMap<ColumnId, [Value; 2]> {
    let mut ends: FxHashMap<ColumnId, (u16, u16)> = FxHashMap::default();
    for used in known.values().flatten() {
        if let Value::Step(step) = used.value {
            let end = ends.entry(used.cell).or_insert((step, step));
            *end = (end.0.min(step), end.1.max(step));
        }
    }
    ends.into_iter().map(|(cell, (low, high))| (cell, [Value::Step(low), Value::Step(high)])).collect()
}

fn order(value: Value) -> (u8, u16, (u16, u16)) {
    match value {
        Value::Off => (0, 0, (0, 0)),
        Value::On => (1, 0, (0, 0)),
        Value::Pulse => (2, 0, (0, 0)),
        Value::Step(n) => (3, n, (0, 0)),
        Value::Program(n) => (4, n, (0, 0)),
        Value::State(n) => (5, n, (0, 0)),
        Value::Input(n) => (6, n, (0, 0)),
        Value::Moved(travel) => (8, u16::from(travel.input()), travel.ends()),
        _ => (7, 0, (0, 0)),
    }
}

/// Presets that use different things, in the order of the slots; and whether there were more than are looked at.
type Candidates = Vec<(Slot, SceneId, Vec<usize>)>;

fn candidates(filled: &[&Preset], uses: usize, shows: impl Fn(SceneId) -> Vec<usize>) -> (Candidates, bool) {
    let mut different: FxHashSet<Vec<usize>> = FxHashSet::default();
    let mut seen = FixedBitSet::with_capacity(uses);
    let (mut out, mut rest) = (Vec::new(), Vec::new());
    for preset in filled {
        let (Some(slot), shows) = (preset.slot, shows(preset.scene)) else { continue };
        if shows.is_empty() || !different.insert(shows.clone()) {
            continue;
        }
        let needed = shows.iter().filter(|u| !seen.put(**u)).count() > 0;
        if needed { out.push((slot, preset.scene, shows)) } else { rest.push((slot, preset.scene, shows)) }
    }
    let cut = out.len() + rest.len() > MOST;
    rest.truncate(MOST.saturating_sub(out.len()));
    out.extend(rest);
    out.sort();
    (out, cut)
}

/// For each way the presets that use it.
fn columns(candidates: &Candidates, uses: usize) -> Vec<FixedBitSet> {
    let mut columns = vec![FixedBitSet::with_capacity(candidates.len()); uses];
    for (at, (_, _, shows)) in candidates.iter().enumerate() {
        for one in shows {
            if let Some(column) = columns.get_mut(*one) {
                column.insert(at);
            }
        }
    }
    columns
}

/// Ways that the same presets use: no step tells them apart.
fn classes(columns: &[FixedBitSet]) -> Vec<Vec<usize>> {
    let mut of: FxHashMap<&FixedBitSet, usize> = FxHashMap::default();
    let mut classes: Vec<Vec<usize>> = Vec::new();
    for (at, column) in columns.iter().enumerate() {
        let next = classes.len();
        match classes.get_mut(*of.entry(column).or_insert(next)) {
            Some(class) => class.push(at),
            None => classes.push(vec![at]),
        }
    }
    classes
}

/// For each failure, and for each two, the presets that tell: one of the two is missed there, the other not.
fn apart(columns: &[FixedBitSet], classes: &[Vec<usize>]) -> Vec<FixedBitSet> {
    let firsts: Vec<&FixedBitSet> = classes.iter().filter_map(|c| columns.get(*c.first()?)).collect();
    let mut out: Vec<FixedBitSet> = firsts.iter().map(|c| (*c).clone()).collect();
    for (at, one) in firsts.iter().enumerate() {
        out.extend(firsts.iter().take(at).map(|other| *one ^ *other));
    }
    out
}

/// Something hangs on a cell.
fn used_at_all(book: &Book, table: &Table, at: ColumnId) -> bool {
    let Some(cell) = table.cells.list.get(at) else { return false };
    match cell.kind {
        CellKind::Loop(number) => book.board.in_loop(number).is_some(),
        CellKind::Output(_) => cell.unsaid == Value::On,
        CellKind::Guitar => true,
        _ => !cell.users.is_empty(),
    }
}

/// Cells that are used in one way alone.
fn one_way(uses: &[Use]) -> Vec<Use> {
    let ways = uses.chunk_by(|a, b| a.cell == b.cell);
    ways.filter_map(|ways| if let [one] = ways { Some(*one) } else { None }).collect()
}
