//! The shortest change of a row that would keep a rule.

use rustc_hash::FxHashMap;

use super::logic::{Ask, Logic, Truth};
use crate::book::amount::{self, Amount};
use crate::book::device::Contact;
use crate::book::{Book, How};
use crate::settle::{CellKind, Table, Value};

/// One thing to say otherwise.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Change {
    /// Engage or bypass a loop.
    Loop { number: u16, on: bool },
    /// Open or close a contact.
    Contact { contact: Contact, closed: bool },
    /// An output on or off.
    Output { number: u16, on: bool },
    /// Put a control in a state.
    State { device: u16, control: u16, state: u16 },
    /// Put a level on a stored step.
    Step { device: u16, control: u16, step: u16 },
    /// Give a level to the foot.
    Foot { device: u16, control: u16 },
}

/// Longer changes than this are no help on stage.
const LONGEST: usize = 3;
/// So many sets of changes are tried.
const MOST_TRIES: usize = 3_000;
/// So many shortest changes are offered.
const MOST_OFFERS: usize = 3;

/// The shortest changes of a scene's row that keep `rules`, breaking no other of `all` that holds now.
pub(super) fn shortest(
    book: &Book,
    table: &Table,
    logic: &Logic,
    scene: u32,
    rules: &[usize],
    all: &[usize],
) -> Vec<Vec<Change>> {
    let mut steps = candidates(book, table, logic, rules);
    let now = |cell: u16| super::rows::held(table, scene, cell);
    steps.retain(|(_, sets)| sets.iter().any(|(cell, value)| now(*cell) != Some(*value)));
    let before = logic.answers(scene, &now);
    let holds = |rule: usize, held: &dyn Fn(u16) -> Option<Value>| {
        let answer = |i: usize| logic.asks.get(i).map_or(Truth::Unknown, |ask| logic.answer(*ask, scene, held));
        logic.rules.get(rule).is_none_or(|n| n.truth_by(&answer) != Truth::No)
    };
    let held_before = |rule: &usize| logic.rules.get(*rule).is_none_or(|n| n.truth(&before) != Truth::No);
    let others: Vec<usize> = all.iter().copied().filter(|r| !rules.contains(r) && held_before(r)).collect();
    let mut tries = 0;
    for size in 1..=LONGEST.min(steps.len()) {
        let mut found = Vec::new();
        each_set(steps.len(), size, &mut |chosen| {
            tries += 1;
            let chosen: Vec<&(Change, Vec<(u16, Value)>)> = chosen.iter().filter_map(|i| steps.get(*i)).collect();
            let mut values: FxHashMap<u16, Value> = FxHashMap::default();
            for (cell, value) in chosen.iter().flat_map(|(_, sets)| sets) {
                if values.insert(*cell, *value).is_some_and(|other| other != *value) {
                    return tries < MOST_TRIES;
                }
            }
            let held = |cell| after(book, table, scene, &values, cell);
            if rules.iter().chain(&others).all(|r| holds(*r, &held)) {
                found.push(chosen.iter().map(|(change, _)| *change).collect());
            }
            tries < MOST_TRIES && found.len() < MOST_OFFERS
        });
        if !found.is_empty() {
            return found;
        }
    }
    Vec::new()
}

/// What a cell holds after the change: whether it is free depends on which of its devices sound then.
fn after(book: &Book, table: &Table, scene: u32, values: &FxHashMap<u16, Value>, cell: u16) -> Option<Value> {
    if let Some(value) = values.get(&cell) {
        return Some(*value);
    }
    let users = table.cells.list.get(cell as usize).map_or(&[][..], |c| &c.users);
    let sounds = |device: u16| {
        let device = book.devices.get(device as usize)?;
        let Some(column) = device.loop_at.and_then(|l| table.cells.loop_cell(l.value)) else {
            return Some(device.always());
        };
        Some(*values.get(&column).unwrap_or(&table.value(scene, column)) == Value::On)
    };
    let heard = users.is_empty() || users.iter().any(|(device, _)| sounds(*device) != Some(false));
    heard.then(|| table.value(scene, cell))
}

/// Everything that could be said otherwise about the cells that some rules ask for.
fn candidates(book: &Book, table: &Table, logic: &Logic, rules: &[usize]) -> Vec<(Change, Vec<(u16, Value)>)> {
    let mut asks = Vec::new();
    for rule in rules.iter().filter_map(|r| logic.rules.get(*r)) {
        rule.asks(&mut |index| asks.push(index));
    }
    let mut out: Vec<(Change, Vec<(u16, Value)>)> = Vec::new();
    let mut add = |change: Change, sets: Vec<(u16, Value)>| {
        if !out.iter().any(|(other, _)| *other == change) {
            out.push((change, sets));
        }
    };
    for ask in asks.into_iter().filter_map(|i| logic.asks.get(i).copied()) {
        let cell = match ask {
            Ask::Is(cell, _) | Ask::AtLeast(cell, _) | Ask::Foot(cell) => cell,
            _ => continue,
        };
        let Some(column) = table.cells.list.get(cell as usize) else { continue };
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
        for (device, control) in &column.users {
            let (device, control) = (*device, *control);
            let found = book.devices.get(device as usize).and_then(|d| d.controls.get(control as usize));
            for state in 0..found.map_or(0, |c| c.states.len() as u16) {
                let columns = table.cells.of_control(device, control).iter().copied();
                let values = table.cells.of_state(device, control, state).iter().copied();
                add(Change::State { device, control, state }, columns.zip(values).collect());
            }
            if let Ask::AtLeast(_, step) = ask {
                add(Change::Step { device, control, step }, vec![(cell, Value::Step(step))]);
                add(Change::Step { device, control, step: step - 1 }, vec![(cell, Value::Step(step - 1))]);
            }
            let treadled = found.is_some_and(|c| match c.how {
                How::Port { port, .. } => book.treadles.iter().any(|t| t.port == port),
                How::FootLevel { .. } => true,
                _ => false,
            });
            if matches!(ask, Ask::Foot(_)) && treadled {
                add(Change::Foot { device, control }, vec![(cell, Value::Foot)]);
            }
        }
    }
    out
}

/// Calls `each` with every set of `size` numbers below `count`, in order, until it says to stop.
fn each_set(count: usize, size: usize, each: &mut dyn FnMut(&[usize]) -> bool) {
    let mut chosen: Vec<usize> = (0..size).collect();
    loop {
        if !each(&chosen) {
            return;
        }
        let Some(at) = (0..size).rev().find(|i| chosen.get(*i).is_some_and(|c| *c < count - size + i)) else { return };
        let from = chosen.get(at).map_or(0, |c| c + 1);
        for (i, slot) in chosen.iter_mut().skip(at).enumerate() {
            *slot = from + i;
        }
    }
}

impl Change {
    /// As a command: "bypass `grit`", "say `combo.channel lead`".
    pub fn says(self, book: &Book) -> String {
        let setting = |device: u16, control: u16| {
            let device = book.devices.get(device as usize)?;
            Some((device, device.controls.get(control as usize)?))
        };
        let says = |device, control, value: String| match setting(device, control) {
            Some((d, c)) => format!("say `{}.{} {value}`", d.name, c.name),
            None => String::new(),
        };
        match self {
            Change::Loop { number, on } => {
                let what = book.in_loop(number).map_or(format!("loop {number}"), |d| d.name.clone());
                format!("{} `{what}`", if on { "engage" } else { "bypass" })
            }
            Change::Contact { contact, closed } => {
                format!("{} `{}`", if closed { "close" } else { "open" }, contact.says())
            }
            Change::Output { number, on } => format!("say `output {number} {}`", if on { "on" } else { "off" }),
            Change::State { device, control, state } => {
                let name = setting(device, control).and_then(|(_, c)| c.states.get(state as usize));
                says(device, control, name.map_or(String::new(), |s| s.name.clone()))
            }
            Change::Step { device, control, step } => {
                let ports = book.switcher.as_ref().map_or(CC_STEPS, |s| s.steps);
                let value = setting(device, control).and_then(|(_, c)| amount_at(&c.how, step, ports));
                says(device, control, value.unwrap_or_default())
            }
            Change::Foot { device, control } => says(device, control, "foot".to_owned()),
        }
    }
}

const CC_STEPS: u16 = 128;

/// The roundest amount that is stored as this step.
fn amount_at(how: &How, step: u16, ports: u16) -> Option<String> {
    let (from, to) = how.level()?;
    let steps = if matches!(how, How::Port { .. }) { ports } else { CC_STEPS };
    let share = f64::from(step) / f64::from(steps.max(2) - 1);
    let value = from.value() + (to.value() - from.value()) * share;
    let dimension = from.dimension;
    // From thousands of the base unit down to a millionth of a millionth: picofarads count too.
    (-15..=6).rev().find_map(|ten| {
        let mantissa = (value / 10f64.powi(ten)).round() as i64;
        let amount = Amount { mantissa, ten, dimension };
        (amount.step(from, to, steps) == Some(step)).then(|| amount::show(amount))
    })
}
