//! The shortest changes of a row that keep a rule.
//!
//! Whatever keeps a broken rule changes something that the rule asks for, or what decides whether that is free. So the
//! search follows the rules: it changes what one broken rule asks for, and looks which rule is broken then.

use std::collections::BTreeSet;

use super::change::Change;
use super::encoding::Encoding;
use super::logic::{Ask, Truth};
use super::meter::NotProved;
use super::roam::{Roam, Stand};
use crate::book::{Book, How};
use crate::ids::{ColumnId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Table, Value, why};
use crate::study::budget;

/// Longer changes than this are no help on stage.
pub const LONGEST: usize = 3;
/// So many shortest changes are offered.
const MOST_OFFERS: usize = 3;

/// The shortest changes that were found.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Offers {
    /// Each a set of things to say; none when no change of [`LONGEST`] things or fewer will do.
    pub changes: Vec<Vec<Change>>,
    /// The search gave up before it had looked at everything as short as this.
    pub cut: bool,
}

/// What must hold after a change.
pub(super) struct Wanted<'w> {
    /// The rules to keep, whatever a foot does then and wherever the player comes from.
    pub rules: &'w [usize],
    /// These together, by some choice of the cells that are free then: the broken rules, and all that are kept.
    pub together: &'w [usize],
    /// Each of these alone, if it did before.
    pub alone: &'w [usize],
}

/// A rule to keep.
#[derive(Clone, Copy)]
struct Kept {
    rule: usize,
    /// Whatever stands in the row, and not by some of it alone.
    always: bool,
}

/// A change, and what it puts in which cells.
type Step = (Change, Vec<(ColumnId, Value)>);

pub(super) struct Search<'s> {
    pub roam: Roam<'s>,
    pub encoding: &'s mut Encoding,
    pub scene: SceneId,
    /// Rules that may still be held against changes, in all rows.
    pub held: &'s mut u64,
}

/// How far a search has come.
#[derive(Default)]
struct Trail {
    steps: Vec<Step>,
    seen: BTreeSet<Vec<usize>>,
    found: Vec<Vec<Change>>,
    cut: bool,
}

impl Search<'_> {
    /// The shortest changes of the row that give what is wanted.
    pub(super) fn shortest(mut self, wanted: &Wanted<'_>) -> Offers {
        let before = self.answers(&[]);
        // A row that the board itself does not allow is another rule's matter: then each rule is judged alone.
        let sound = matches!(self.encoding.clash(&[], &self.encoding.answering(&before)), Ok(None));
        let held = |r: &usize| self.roam.logic.rules.get(*r).is_none_or(|n| n.truth(&before) != Truth::No);
        let alone: Vec<usize> = wanted.alone.iter().copied().filter(held).collect();
        let each = wanted.together.iter().chain(&alone).copied();
        // A rule at risk already need not be kept better than that.
        let each: Vec<Kept> = each
            .map(|rule| Kept { rule, always: wanted.rules.contains(&rule) || !self.breaks(rule, true, &[]) })
            .collect();
        let together = sound.then_some(wanted.together);
        let mut trail = Trail::default();
        for size in 1..=LONGEST {
            trail.seen.clear();
            self.follow(&each, together, size, &mut Vec::new(), &mut trail);
            if !trail.found.is_empty() || trail.cut {
                break;
            }
        }
        Offers { changes: trail.found, cut: trail.cut }
    }

    /// Tries everything that may mend what `chosen` leaves broken, with `left` things to say.
    fn follow(
        &mut self,
        each: &[Kept],
        together: Option<&[usize]>,
        left: usize,
        chosen: &mut Vec<usize>,
        trail: &mut Trail,
    ) {
        let values = set(chosen, &trail.steps);
        let Ok(broken) = self.broken(each, together, &values) else {
            trail.cut = true;
            return;
        };
        let Some(broken) = broken else {
            let steps = chosen.iter().filter_map(|i| trail.steps.get(*i));
            trail.found.push(steps.map(|(change, _)| *change).collect());
            return;
        };
        if left == 0 {
            return;
        }
        for step in self.steps(&broken, &values) {
            let known = trail.steps.iter().position(|s| *s == step);
            let number = known.unwrap_or_else(|| {
                trail.steps.push(step);
                trail.steps.len() - 1
            });
            let mut sorted: Vec<usize> = chosen.iter().copied().chain([number]).collect();
            sorted.sort_unstable();
            if !trail.seen.insert(sorted) {
                continue;
            }
            trail.cut |= trail.seen.len() > budget::CHANGES;
            if trail.cut || trail.found.len() >= MOST_OFFERS {
                return;
            }
            chosen.push(number);
            self.follow(each, together, left - 1, chosen, trail);
            chosen.pop();
        }
    }

    /// The cells that a broken rule asks for, or those of some rules that cannot all be kept; none when all is well.
    fn broken(
        &mut self,
        each: &[Kept],
        together: Option<&[usize]>,
        values: &[(ColumnId, Value)],
    ) -> Result<Option<Vec<ColumnId>>, NotProved> {
        *self.held = self.held.saturating_sub(each.len() as u64);
        if *self.held == 0 {
            return Err(NotProved);
        }
        if let Some(kept) = each.iter().find(|kept| self.breaks(kept.rule, kept.always, values)) {
            return Ok(Some(self.asked(&[kept.rule])));
        }
        if let Some(cells) = self.unsettled(values) {
            return Ok(Some(cells));
        }
        let Some(together) = together else { return Ok(None) };
        let mut given = self.encoding.answering(&self.answers(values));
        let roam = self.roam;
        for kept in each.iter().filter(|kept| kept.always) {
            let Some(rule) = roam.logic.rules.get(kept.rule) else { continue };
            let stands = roam.stands(rule, self.scene, &|cell| self.after(values, cell));
            let Ok(stands) = stands else { return Err(NotProved) };
            if !stands.is_empty() {
                given.push(self.encoding.node(&roam.always(rule, self.scene, &stands)));
            }
        }
        let core = self.encoding.clash(together, &given)?;
        Ok(core.map(|core| if core.is_empty() { self.claimed(values) } else { self.asked(&core) }))
    }

    /// The cells of a control that a change brings to sound, and that nobody settles: what is offered must not lead to
    /// that mistake.
    fn unsettled(&self, values: &[(ColumnId, Value)]) -> Option<Vec<ColumnId>> {
        let cells = &self.roam.table.cells;
        let set = |c: &ColumnId| values.iter().any(|(cell, _)| cell == c);
        let held = |cell: ColumnId| self.held(values, cell);
        let engaged = |d: DeviceId| cells.engaging(d).iter().any(set) && cells.sounds(d, held) == Answer::Yes;
        let devices = self.roam.book.board.devices.numbered().filter(|(_, d)| engaged(*d));
        let mut controls = devices.flat_map(|(device, d)| device.controls.ids().map(move |c| (d, c)));
        controls.find_map(|(d, c)| {
            let columns = cells.of_control(d, c);
            let unknown = |cell: &ColumnId| self.after(values, *cell) == Some(Value::Unknown);
            columns.iter().any(unknown).then(|| columns.to_vec())
        })
    }

    /// True when a change breaks a rule: by all that can stand in the row then; with `always`, by some of it.
    fn breaks(&self, rule: usize, always: bool, values: &[(ColumnId, Value)]) -> bool {
        let Roam { logic, .. } = self.roam;
        let Some(node) = logic.rules.get(rule) else { return false };
        let answer = |i: usize| logic.asks.get(i).map_or(Truth::Unknown, |ask| self.answer(*ask, values));
        let truth = node.truth_by(&answer);
        if truth != Truth::Free {
            return truth == Truth::No;
        }
        let stands = self.roam.stands(node, self.scene, &|cell| self.after(values, cell));
        // What could not be looked at all is no way out.
        let Ok(stands) = stands else { return always };
        let broken = |stand: &Stand| self.roam.under(node, self.scene, stand).truth_by(&answer) == Truth::No;
        if always { stands.iter().any(broken) } else { !stands.is_empty() && stands.iter().all(broken) }
    }

    /// The cells that some rules ask for.
    fn asked(&self, rules: &[usize]) -> Vec<ColumnId> {
        let mut cells = Vec::new();
        for rule in rules.iter().filter_map(|r| self.roam.logic.rules.get(*r)) {
            rule.asks(&mut |index| {
                cells.extend(self.roam.logic.asks.get(index).and_then(|ask| ask.cell()));
            });
        }
        cells
    }

    /// What a change has to do with, when the board does not allow it: its cells, and those of what it engages.
    fn claimed(&self, values: &[(ColumnId, Value)]) -> Vec<ColumnId> {
        let mut cells: Vec<ColumnId> = values.iter().map(|(cell, _)| *cell).collect();
        for (d, device) in self.roam.book.board.devices.pairs() {
            let columns = self.roam.table.cells.engaging(d);
            if values.iter().any(|(cell, _)| columns.contains(cell)) {
                let controls = device.controls.ids();
                cells.extend(controls.flat_map(|c| self.roam.table.cells.of_control(d, c)));
            }
        }
        cells
    }

    fn answers(&self, values: &[(ColumnId, Value)]) -> Vec<Truth> {
        self.roam.logic.asks.iter().map(|ask| self.answer(*ask, values)).collect()
    }

    fn answer(&self, ask: Ask, values: &[(ColumnId, Value)]) -> Truth {
        self.roam.answer(ask, self.scene, &|cell| self.after(values, cell))
    }

    /// What a cell holds after the change: whether it is free depends on which of its devices sound then.
    fn after(&self, values: &[(ColumnId, Value)], cell: ColumnId) -> Option<Value> {
        if let Some((_, value)) = values.iter().find(|(c, _)| *c == cell) {
            return Some(*value);
        }
        let table = self.roam.table;
        let column = table.cells.list.get(cell);
        let users = column.map_or(&[][..], |c| &c.users);
        let held = |column: ColumnId| self.held(values, column);
        if column.is_some_and(|c| !c.holds_unsaid())
            && users.iter().all(|(device, _)| table.cells.sounds(*device, held) == Answer::No)
        {
            return None;
        }
        Some(if table.is_free(self.scene, cell) {
            would(self.roam.book, table, self.scene, cell)
        } else {
            table.value(self.scene, cell)
        })
    }

    /// What a column holds after the change, free or not.
    fn held(&self, values: &[(ColumnId, Value)], column: ColumnId) -> Value {
        let chosen = values.iter().find(|(c, _)| *c == column).map(|(_, value)| *value);
        chosen.unwrap_or(self.roam.table.value(self.scene, column))
    }

    /// Everything that could be said otherwise about some cells, and changes something.
    fn steps(&self, cells: &[ColumnId], values: &[(ColumnId, Value)]) -> Vec<Step> {
        let mut out: Vec<Step> = Vec::new();
        let mut add = |change: Change, sets: Vec<(ColumnId, Value)>| {
            let fresh = sets.iter().any(|(cell, value)| self.after(values, *cell) != Some(*value));
            let clear = sets.iter().all(|(cell, _)| !values.iter().any(|(c, _)| c == cell));
            if fresh && clear && !out.iter().any(|(other, _)| *other == change) {
                out.push((change, sets));
            }
        };
        for cell in cells {
            self.of_cell(*cell, values, &mut add);
        }
        // What is bypassed leaves its cells free: the longer way round, so offered last.
        for (device, _) in cells.iter().filter_map(|c| self.roam.table.cells.list.get(*c)).flat_map(|c| &c.users) {
            for cell in self.roam.table.cells.engaging(*device) {
                self.of_cell(*cell, values, &mut add);
            }
        }
        out
    }

    /// Everything that could be said about one cell.
    fn of_cell(
        &self,
        cell: ColumnId,
        values: &[(ColumnId, Value)],
        add: &mut dyn FnMut(Change, Vec<(ColumnId, Value)>),
    ) {
        let Some(column) = self.roam.table.cells.list.get(cell) else { return };
        for on in [false, true] {
            match column.kind {
                CellKind::Loop(number) => add(Change::Loop { number, on }, vec![(cell, Value::of(on))]),
                CellKind::Output(number) => add(Change::Output { number, on }, vec![(cell, Value::of(on))]),
                CellKind::Contact(contact) if column.users.is_empty() => {
                    add(Change::Contact { contact, closed: on }, vec![(cell, Value::of(on))]);
                }
                _ => {}
            }
        }
        for (device, control) in column.users.iter().copied() {
            let found = self.roam.book.board.devices.get(device).and_then(|d| d.controls.get(control));
            for state in 0..found.map_or(0, |c| c.states.len() as u16) {
                let columns = self.roam.table.cells.of_control(device, control).iter().copied();
                let sets = self.roam.table.cells.of_state(device, control, state).iter().copied();
                add(Change::State { device, control, state }, columns.zip(sets).collect());
            }
            let asked = |ask: &&Ask| matches!(ask, Ask::AtLeast(c, _) | Ask::Foot(c) if *c == cell);
            if !self.roam.logic.asks.iter().any(|a| asked(&a)) {
                continue;
            }
            for step in self.regions(cell, values) {
                add(Change::Step { device, control, step }, vec![(cell, Value::Step(step))]);
            }
            let treadled = found.is_some_and(|c| match c.how {
                How::Port { port, .. } => self.roam.book.board.treadle_of(port).is_some(),
                How::FootLevel { .. } => true,
                _ => false,
            });
            if treadled {
                add(Change::Foot { device, control }, vec![(cell, Value::Foot)]);
            }
        }
    }

    /// A step between each two that the rules tell apart: the nearest to what the cell holds.
    fn regions(&self, cell: ColumnId, values: &[(ColumnId, Value)]) -> Vec<u16> {
        let asks = self.roam.logic.asks.iter();
        let bounds =
            asks.filter_map(|ask| if let Ask::AtLeast(c, s) = ask { (*c == cell).then_some(*s) } else { None });
        let mut bounds: Vec<u16> = bounds.chain([0]).collect();
        bounds.sort_unstable();
        bounds.dedup();
        let now = match self.after(values, cell) {
            Some(Value::Step(step)) => step,
            _ => 0,
        };
        let last = self.roam.table.cells.list.get(cell).map_or(0, |c| c.steps.saturating_sub(1));
        let ends = bounds.iter().skip(1).map(|b| b - 1).chain([last]);
        let mut out: Vec<u16> = bounds.iter().zip(ends).map(|(from, to)| now.clamp(*from, to.max(*from))).collect();
        out.sort_by_key(|step| step.abs_diff(now));
        out
    }
}

/// What a free cell would hold if it mattered.
pub(super) fn would(book: &Book, table: &Table, scene: SceneId, cell: ColumnId) -> Value {
    why::settled(&why::reasons(book, table, scene, cell)).unwrap_or(Value::Unknown)
}

fn set(chosen: &[usize], steps: &[Step]) -> Vec<(ColumnId, Value)> {
    chosen.iter().filter_map(|i| steps.get(*i)).flat_map(|(_, sets)| sets.iter().copied()).collect()
}
