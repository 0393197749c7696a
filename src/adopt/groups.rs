//! Cells that a statement settles together, and the statements that put a value there.
//!
//! A statement that settles several cells is replaced whole, so what is said of them is one choice. Two controls that
//! share a contact are one group with all that either of them uses. What a switch inside presets does is a choice too, and a
//! group without cells, behind all others.

use indexmap::IndexSet;

use super::ways;
use crate::book::inside::Does;
use crate::book::{Control, Device, amount};
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::settle::{Cell, CellKind, Cells, Value};
use crate::{Board, Compiled};

/// Something to say: a group and one of its values.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(super) struct Said {
    pub group: u16,
    pub key: u32,
}

impl Said {
    /// Every output off, in one word.
    pub(super) const MUTE: Said = Said { group: u16::MAX, key: 0 };
}

/// Whatever stands there does.
pub(super) const ANY: u32 = 0;
/// Nothing was said, and that says nothing.
pub(super) const NOTHING: u32 = u32::MAX;

/// A statement, or a name for one that lists several.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Word {
    Engage(String),
    Bypass(String),
    Line(String),
}

struct Group {
    cells: Vec<ColumnId>,
    controls: Vec<(DeviceId, ControlId)>,
    values: IndexSet<Box<[Value]>>,
    /// For each value the statements that put it there; None where none do.
    words: Vec<Option<Vec<Word>>>,
}

/// All groups, in the order of their first cells.
pub(super) struct Groups<'c> {
    board: &'c Board,
    cells: &'c Cells,
    list: Vec<Group>,
    /// What each switch inside presets does somewhere, with the statement for it.
    switches: Vec<Vec<(Does, [Word; 1])>>,
    /// Groups that `mute` turns off.
    muted: Vec<u16>,
}

impl<'c> Groups<'c> {
    pub(super) fn of(compiled: &'c Compiled) -> Groups<'c> {
        let (board, cells) = (&compiled.book.board, &compiled.table.cells);
        let mut of: Vec<usize> = (0..cells.len()).collect();
        let mut controls = Vec::new();
        for (d, device) in board.devices.pairs() {
            for c in device.controls.ids() {
                let columns = cells.of_control(d, c);
                let Some(first) = columns.first().copied() else { continue };
                controls.push((first, (d, c)));
                let together: Vec<usize> = columns.iter().filter_map(|c| of.get(c.index()).copied()).collect();
                let least = together.iter().copied().min().unwrap_or_default();
                of.iter_mut().filter(|group| together.contains(group)).for_each(|group| *group = least);
            }
        }
        let mut list: Vec<Group> = Vec::new();
        let mut at: Vec<Option<usize>> = vec![None; cells.len()];
        for (cell, first) in of.iter().enumerate() {
            let Some(slot) = at.get_mut(*first) else { continue };
            let number = *slot.get_or_insert_with(|| {
                let (values, words) = (IndexSet::new(), Vec::new());
                list.push(Group { cells: Vec::new(), controls: Vec::new(), values, words });
                list.len() - 1
            });
            if let Some(group) = list.get_mut(number) {
                group.cells.push(ColumnId::nth(cell));
            }
        }
        for group in &mut list {
            let mine = controls.iter().filter(|(first, _)| group.cells.contains(first));
            group.controls = mine.map(|(_, control)| *control).collect();
        }
        let output = |group: &Group| match group.cells.first().and_then(|c| cells.list.get(*c))?.kind {
            CellKind::Output(number) => Some(number),
            _ => None,
        };
        let heard = list.iter().enumerate().filter(|(_, g)| output(g).is_some_and(|n| !board.watched(n)));
        let muted = heard.map(|(at, _)| at as u16).collect();
        let switches = vec![Vec::new(); board.inside().1 as usize];
        Groups { board, cells, list, switches, muted }
    }

    pub(super) fn len(&self) -> usize {
        self.list.len() + self.switches.len()
    }

    /// The groups that have cells.
    pub(super) fn of_cells(&self) -> std::ops::Range<u16> {
        0..self.list.len() as u16
    }

    /// The table's columns.
    pub(super) fn columns(&self) -> &'c Cells {
        self.cells
    }

    pub(super) fn cells(&self, group: u16) -> &[ColumnId] {
        self.list.get(group as usize).map_or(&[], |g| &g.cells)
    }

    /// Groups that `mute` turns off.
    pub(super) fn muted(&self) -> &[u16] {
        &self.muted
    }

    /// The key of a group's value, new or known.
    pub(super) fn key(&mut self, group: u16, values: Vec<Value>) -> u32 {
        let (board, cells) = (self.board, self.cells);
        let Some(found) = self.list.get_mut(group as usize) else { return ANY };
        let (at, new) = found.values.insert_full(values.into());
        if new {
            let words = found.values.get_index(at).and_then(|values| say(board, cells, found, values));
            found.words.push(words);
        }
        at as u32 + 1
    }

    /// The key of what a switch inside presets does, new or known.
    pub(super) fn press(&mut self, switch: usize, does: Does) -> u32 {
        let Some(known) = self.switches.get_mut(switch) else { return ANY };
        let at = known.iter().position(|(other, _)| *other == does).unwrap_or_else(|| {
            known.push((does, [Word::Line(ways::line(self.board, switch as u8, does))]));
            known.len() - 1
        });
        at as u32 + 1
    }

    pub(super) fn values(&self, said: Said) -> &[Value] {
        let at = said.key.wrapping_sub(1) as usize;
        self.list.get(said.group as usize).and_then(|g| g.values.get_index(at)).map_or(&[], |values| values)
    }

    /// The statements that put a value into a group; None where no statement does.
    pub(super) fn words(&self, said: Said) -> Option<&[Word]> {
        let (group, at) = (said.group as usize, said.key.wrapping_sub(1) as usize);
        if let Some(found) = self.list.get(group) {
            return found.words.get(at)?.as_deref();
        }
        self.switches.get(group - self.list.len())?.get(at).map(|(_, words)| &words[..])
    }

    /// How many statements that takes.
    pub(super) fn weight(&self, said: Said) -> usize {
        if said == Said::MUTE { 1 } else { self.words(said).map_or(1, <[Word]>::len) }
    }
}

fn say(board: &Board, cells: &Cells, group: &Group, values: &[Value]) -> Option<Vec<Word>> {
    let mut whole = group.controls.iter().filter(|(d, c)| cells.of_control(*d, *c).len() == values.len());
    if let Some(word) = whole.find_map(|(d, c)| setting(board, cells, group, (*d, *c), values)) {
        return Some(vec![word]);
    }
    let alone = |(cell, value): (&ColumnId, &Value)| one(board, cells.list.get(*cell)?, *value);
    group.cells.iter().zip(values).map(alone).collect()
}

/// What a control says that uses all cells of the group.
fn setting(
    board: &Board,
    cells: &Cells,
    group: &Group,
    (d, c): (DeviceId, ControlId),
    values: &[Value],
) -> Option<Word> {
    let device = board.devices.get(d)?;
    let control = device.controls.get(c)?;
    let name = || format!("{}.{}", device.name, control.name);
    // A port that two levels share holds a travel, not an amount of either.
    if control.how.level().is_some() && group.controls.len() > 1 {
        return None;
    }
    let held = |cell: ColumnId| {
        let at = group.cells.iter().position(|c| *c == cell);
        at.and_then(|at| values.get(at)).copied().unwrap_or(Value::Unknown)
    };
    let columns = cells.of_control(d, c);
    let states = cells.states(d, c);
    let state = states.iter().position(|s| s.iter().zip(columns).all(|(value, column)| held(*column) == *value));
    if let Some(state) = state {
        return Some(in_state(device, control, (c, state)).unwrap_or_else(|| {
            let state = control.states.get(state).map_or("", |s| &s.name);
            Word::Line(format!("{} {state}", name()))
        }));
    }
    if values.iter().all(|value| *value == Value::Stays) {
        return Some(Word::Line(format!("{} stays", name())));
    }
    let (from, to) = control.how.level()?;
    let cell = cells.list.get(*columns.first()?)?;
    match *values.first()? {
        Value::Step(step) => {
            Some(Word::Line(format!("{} {}", name(), amount::show(amount::at_step(step, cell.steps, from, to)))))
        }
        value if value.foot() => Some(Word::Line(format!("{} foot", name()))),
        _ => None,
    }
}

/// The state of a control that engages its device.
fn in_state(device: &Device, _control: &Control, (control, state): (ControlId, usize)) -> Option<Word> {
    let by = device.engaged_by.filter(|by| by.control == control)?;
    match state as u16 {
        state if state == by.engaged => Some(Word::Engage(device.name.clone())),
        state if state == by.bypassed => Some(Word::Bypass(device.name.clone())),
        _ => None,
    }
}

/// What the hardware is told of one cell.
fn one(board: &Board, cell: &Cell, value: Value) -> Option<Word> {
    let line = |says: String| Some(Word::Line(says));
    match (cell.kind, value) {
        (CellKind::Loop(number), Value::On | Value::Off) => {
            let name = board.in_loop(number).map_or_else(|| board.loop_says(number), |d| d.name.clone());
            Some(if value == Value::On { Word::Engage(name) } else { Word::Bypass(name) })
        }
        (CellKind::Output(number), Value::On) => line(format!("output {number} on")),
        (CellKind::Output(number), Value::Off) => line(format!("output {number} off")),
        (CellKind::Guitar, Value::Input(input)) => line(format!("hear input {input}")),
        (CellKind::Order, Value::Order(order)) if order.wired() => line("order as wired".to_owned()),
        (CellKind::Order, Value::Order(order)) => line(format!("order {}", order.says(board).join(", "))),
        (CellKind::Contact(contact), Value::On) => line(format!("close {}", contact.says())),
        (CellKind::Contact(contact), Value::Off) => line(format!("open {}", contact.says())),
        (CellKind::Contact(contact), Value::Pulse) => line(format!("pulse {}", contact.says())),
        (CellKind::Port(port), Value::Step(step)) => {
            let (none, full) = (amount::Amount::percent(0), amount::Amount::percent(100));
            line(format!("expression {port} at {}", amount::show(amount::at_step(step, cell.steps, none, full))))
        }
        (CellKind::Port(port), Value::Stays) => line(format!("expression {port} stays")),
        (CellKind::Port(port), value) if value.foot() => line(format!("expression {port} foot")),
        _ => None,
    }
}
