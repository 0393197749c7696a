//! The worksheet for programming the unit from empty.

use rustc_hash::FxHashMap;

use super::cells::{head, show, typed};
use super::shown;
use crate::Compiled;
use crate::book::{How, Slot, SlotRange, Travel, amount};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Cell, CellKind, Row, Setting, Value};
use crate::written::cell::{self, users};

/// Everything to type into an empty unit.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Worksheet {
    /// What an empty preset has, which nobody types in.
    pub empty: String,
    /// The slots that are filled, in order; a slot that is filled by a copy stands with the first of its like.
    pub steps: Vec<Step>,
}

/// One slot to program.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// Its bank, from 0.
    pub bank: u32,
    /// The slot as the unit shows it.
    pub slot: String,
    /// The scene's name, cut to what the display can show.
    pub name: String,
    /// What to set, a group of cells each; what an empty preset has already is left out.
    pub set: Vec<String>,
    /// Where the same preset is copied to: `copy 1D to all D`.
    pub copy: Option<String>,
}

/// What makes a preset from an empty one.
pub fn worksheet(compiled: &Compiled) -> Worksheet {
    let letters = compiled.book.board.switcher.as_ref().and_then(|s| s.display).map_or(usize::MAX, usize::from);
    let mut steps: Vec<Step> = Vec::new();
    let mut slots: Vec<Vec<Slot>> = Vec::new();
    // Presets of one name that are set alike are alike.
    let mut known: FxHashMap<(String, Vec<String>), usize> = FxHashMap::default();
    for preset in &compiled.presets {
        let Some(slot) = preset.slot else { continue };
        let scene = compiled.book.show.scene(preset.scene).map_or("", |s| &s.name);
        let (name, set) = (scene.chars().take(letters).collect::<String>(), set(compiled, preset.scene));
        let at = *known.entry((name.clone(), set.clone())).or_insert(steps.len());
        match slots.get_mut(at) {
            Some(same) => same.push(slot),
            None => {
                steps.push(Step { bank: slot.bank, slot: shown(compiled, Some(slot)), name, set, copy: None });
                slots.push(vec![slot]);
            }
        }
    }
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    for (step, slots) in steps.iter_mut().zip(slots) {
        if let (Some(range), Some((first, rest))) = (range, slots.split_first().filter(|(_, rest)| !rest.is_empty())) {
            step.copy = Some(format!("copy {} to {}", step.slot, listed(range, *first, rest)));
        }
    }
    Worksheet { empty: empty(compiled), steps }
}

/// `all D`, when with the first these are all slots of one switch; else each slot, many banks in a row as `D of banks 2 to 9`.
fn listed(range: SlotRange, first: Slot, slots: &[Slot]) -> String {
    let switch = |slot: Slot| {
        let bank = (range.first_bank + slot.bank).to_string();
        let shown = range.show(slot);
        let switch = shown.get(bank.len()..).unwrap_or("").trim_start_matches('.').to_owned();
        if range.show(slot).contains('.') { format!("switch {switch}") } else { switch }
    };
    let banks = range.banks as usize;
    if slots.len() + 1 == banks && slots.iter().all(|s| s.switch == first.switch) {
        return format!("all {}", switch(first).replace("switch ", "switches "));
    }
    let mut sorted = slots.to_vec();
    sorted.sort_unstable_by_key(|s| (s.switch, s.bank));
    let mut runs: Vec<Vec<Slot>> = Vec::new();
    for slot in sorted {
        match runs.last_mut().and_then(|run| run.last().map(|l| (l.switch, l.bank + 1))) {
            Some(next) if next == (slot.switch, slot.bank) => runs.last_mut().into_iter().for_each(|r| r.push(slot)),
            _ => runs.push(vec![slot]),
        }
    }
    let one = |run: Vec<Slot>| match run.as_slice() {
        [from, _, .., to] => {
            let bank = |slot: &Slot| range.first_bank + slot.bank;
            format!("{} of banks {} to {}", switch(*from), bank(from), bank(to))
        }
        few => few.iter().map(|slot| range.show(*slot)).collect::<Vec<_>>().join(", "),
    };
    runs.into_iter().map(one).collect::<Vec<_>>().join(", ")
}

/// What an empty preset has.
fn empty(compiled: &Compiled) -> String {
    let chosen = |scene: SceneId| {
        let cells = compiled.table.cells.list.numbered();
        let typed = cells.filter(|(cell, c)| {
            compiled.table.idle(scene, *c) && cell.empty().is_some_and(|e| e != compiled.table.stored(scene, *c))
        });
        typed.count()
    };
    let slots = compiled.presets.iter().filter(|p| p.slot.is_some());
    let unheard = match slots.map(|p| chosen(p.scene)).sum::<usize>() {
        0 => String::new(),
        n => format!(
            " {n} cells that nobody hears are set so that fewer contacts move over the sets, or as a rule asks: \
             `--fill open` sets those of the rules alone."
        ),
    };
    let cells = &compiled.table.cells.list;
    let closed = cells.iter().filter(|c| matches!(c.kind, CellKind::Contact(_)) && c.empty() == Some(Value::On));
    let closed: Vec<String> = closed.map(|c| head(compiled, c)).collect();
    let but = if closed.is_empty() { String::new() } else { format!(" (but {} closed)", closed.join(" and ")) };
    let (wired, order) = match compiled.table.cells.order_cell() {
        Some(_) => (" and in the order of the chains", format!(" {}.", cell::ORDER)),
        None => ("", String::new()),
    };
    format!(
        "Look at an empty preset first: every loop out{wired}, every contact open{but}, every expression at 0 %, nothing \
         sent, no pulse. What is not listed stays so.{order}{unheard}"
    )
}

/// What to set, group by group.
fn set(compiled: &Compiled, scene: SceneId) -> Vec<String> {
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let sent = row.bytes();
    let mut groups: Vec<Vec<String>> = vec![Vec::new(); 6];
    for (cell, c) in compiled.table.cells.list.numbered() {
        let value = compiled.table.stored(scene, c);
        if cell.apart || cell.empty() == Some(value) {
            continue;
        }
        let head = || head(compiled, cell);
        let (group, says) = match cell.kind {
            CellKind::Loop(_) if value == Value::On => (0, format!("{} in", head())),
            CellKind::Contact(_) => (1, format!("{} {}{}", head(), contact(value), who(compiled, row, cell, c))),
            CellKind::Taps { device, control, .. } => {
                (1, format!("{} {}", head(), pulses(compiled, row, (device, control))))
            }
            CellKind::Clock => (4, format!("clock at {} bpm", show(compiled, cell, value))),
            CellKind::Port(_) => (2, format!("{} {}", head(), port(compiled, cell, value))),
            CellKind::Trim(_) => (3, format!("{} {}", head(), port(compiled, cell, value))),
            CellKind::Output(_) if matches!(value, Value::On | Value::Off) => {
                (3, format!("{} {}", head(), if value == Value::On { "on" } else { "off" }))
            }
            CellKind::Guitar => (4, input(compiled, value)),
            CellKind::Order => (0, format!("order of loops {}", show(compiled, cell, value))),
            CellKind::Message { channel, device, control } => {
                let bytes = sent.iter().find(|s| s.control == (device, control)).map_or(Vec::new(), |s| s.bytes());
                let bytes: Vec<String> = bytes.iter().map(|b| format!("{b:02X}")).collect();
                let says = message(compiled, row, cell, (device, control), value);
                // What a treadle moves is sent as it moves.
                let bytes = if bytes.is_empty() { String::new() } else { format!(" ({})", bytes.join(" ")) };
                let when = cell.users.first().and_then(|(d, c)| compiled.book.board.devices.get(*d)?.controls.get(*c));
                let when = when.map_or(String::new(), |c| c.cue.says());
                let when = if when.is_empty() { when } else { format!(" {when}") };
                (5, format!("midi {channel}: {} {says}{when}{bytes}", head()))
            }
            CellKind::ByFoot { .. } => continue,
            _ => (0, format!("{} ?", head())),
        };
        if let Some(group) = groups.get_mut(group) {
            group.push(says);
        }
    }
    let mut said: Vec<String> = groups.into_iter().filter(|g| !g.is_empty()).map(|g| g.join(", ")).collect();
    said.extend(typed(compiled, scene));
    if said.is_empty() { vec!["nothing".to_owned()] } else { said }
}

/// `guitar input 2 (arch)`.
fn input(compiled: &Compiled, value: Value) -> String {
    let Value::Input(input) = value else { return "guitar input ?".to_owned() };
    let names: Vec<&str> = compiled.book.board.on_input(input).map(|g| g.name.as_str()).collect();
    let whose = if names.is_empty() { String::new() } else { format!(" ({})", names.join(" or ")) };
    format!("guitar input {input}{whose}")
}

fn contact(value: Value) -> &'static str {
    match value {
        Value::On => "closed",
        Value::Off => "open",
        Value::Pulse => "pulse",
        Value::Stays => "stays as it is",
        _ => "?",
    }
}

/// `3 pulses 652 ms apart (tide tempo 92 bpm)`.
fn pulses(compiled: &Compiled, row: Row<'_>, (device, control): (DeviceId, ControlId)) -> String {
    let found = compiled.book.board.devices.get(device);
    let level = found.and_then(|d| d.controls.get(control));
    let (Some(found), Some(level), Some(tempo)) = (found, level, row.amount(device, control)) else {
        return "?".to_owned();
    };
    let How::Pulses { count, .. } = level.how else { return "?".to_owned() };
    let apart = super::tempo::milliseconds(tempo.value(), 1.0);
    format!("{count} pulses {apart} ms apart ({} {} {})", found.name, level.name, amount::show(tempo))
}

/// The states that a contact brings about: ` (main channel crunch)`.
fn who(compiled: &Compiled, row: Row<'_>, cell: &Cell, c: ColumnId) -> String {
    if compiled.table.idle(row.scene(), c) {
        return " (nobody hears it)".to_owned();
    }
    let named =
        |((device, control), (d, how)): (&(DeviceId, ControlId), (&crate::book::Device, &crate::book::Control))| {
            let Some(Setting::State(state)) = row.setting(*device, *control) else { return None };
            Some(format!("{} {} {}", d.name, how.name, how.states.get(state as usize)?.name))
        };
    let states: Vec<String> = cell.users.iter().zip(users(&compiled.book.board, cell)).filter_map(named).collect();
    if states.is_empty() { String::new() } else { format!(" ({})", states.join(" and ")) }
}

/// A position, with the step that is typed in.
fn port(compiled: &Compiled, cell: &Cell, value: Value) -> String {
    match value {
        Value::Step(step) => {
            let last = cell.steps.saturating_sub(1);
            format!("at {} {} = step {step} of 0..{last}", show(compiled, cell, value), cell::unit(cell))
        }
        Value::Stays => "stays as it is".to_owned(),
        Value::Moved(travel) => to_foot(compiled, cell, travel),
        value if value.foot() => "to the foot".to_owned(),
        _ => "?".to_owned(),
    }
}

/// To foot input 1, from 25.2 % = step 32 (heel) to 88.2 % = step 111 (toe).
fn to_foot(compiled: &Compiled, cell: &Cell, travel: Travel) -> String {
    let end = |step: u16| format!("{} % = step {step}", show(compiled, cell, Value::Step(step)));
    let (heel, toe) = travel.ends();
    format!("to foot input {}, heel {}, toe {}", travel.input(), end(heel), end(toe))
}

/// A state with the program that the device counts, or a level with the value that is sent.
fn message(
    compiled: &Compiled,
    row: Row<'_>,
    cell: &Cell,
    (device, control): (DeviceId, ControlId),
    value: Value,
) -> String {
    let text = show(compiled, cell, value);
    let how = compiled.book.board.devices.get(device).and_then(|d| d.controls.get(control));
    match (row.setting(device, control), how, value) {
        (_, _, Value::Step(step)) => format!("{text} % = value {step}"),
        (_, _, Value::Moved(travel)) => to_foot(compiled, cell, travel),
        (Some(Setting::State(state)), Some(how), _) => {
            let name = how.states.get(state as usize).map_or("?", |s| s.name.as_str());
            let what = match how.how {
                How::CcStates { .. } => "value",
                How::Messages { .. } => return name.to_owned(),
                _ => "program",
            };
            format!("{name} = {what} {text}")
        }
        _ => text,
    }
}
