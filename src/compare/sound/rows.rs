//! Hears the rows of a book.

use std::hash::BuildHasher;

use crate::Compiled;
use crate::book::{Amount, Control, How, LoopOrder, amount};
use crate::ids::{ColumnId, ControlId, DeviceId, Numbered, SceneId};
use crate::settle::{Answer, CellKind, Row, Setting, Value};

use super::fact::{Fact, Heard, Key};

/// One of the two books, with numbers that both share for devices, controls and states.
pub struct Sound<'c> {
    /// The book.
    pub compiled: &'c Compiled,
    /// For each device: its shared number.
    devices: Numbered<DeviceId, u32>,
    /// For each device and control: its shared number, and those of its states.
    controls: Numbered<DeviceId, Numbered<ControlId, (u32, Vec<u32>)>>,
    /// For each loop: its number, the pedal in it, and the number that both books share.
    loops: Vec<(u16, Option<DeviceId>, u16)>,
    /// For each guitar input: what is plugged there, by its shared number.
    plugged: Vec<u32>,
}

/// What is added to the number of a loop that the other book lacks.
const LACKED: u16 = 30_000;

/// Both books. `devices` says for each of the old book's which of the new one's it is; what has no partner gets a number
/// of its own.
pub fn both<'c>(
    old: &'c Compiled,
    new: &'c Compiled,
    devices: &Numbered<DeviceId, Option<DeviceId>>,
) -> (Sound<'c>, Sound<'c>) {
    let new_of = |id: DeviceId| devices.get(id).copied().flatten();
    let right = Sound::new(new, (0..new.book.board.devices.len() as u32).collect(), |_, control| {
        (0..control.states.len() as u32).collect()
    });
    let count = new.book.board.devices.len() as u32;
    let shared: Numbered<DeviceId, u32> = old
        .book
        .board
        .devices
        .ids()
        .map(|id| new_of(id).map_or(count + id.index() as u32, |new| new.index() as u32))
        .collect();
    let mut left = Sound::new(old, shared, |_, control| (0..control.states.len() as u32).collect());
    for (number, _, shared) in &mut left.loops {
        let same = old.book.board.same_loop(&new.book.board, *number);
        *shared = same.unwrap_or(number.saturating_add(LACKED));
    }
    left.plugged = plugged(old, new);
    for (id, device) in old.book.board.devices.pairs() {
        let Some(partner) = new_of(id).and_then(|n| new.book.board.devices.get(n)) else { continue };
        let Some(numbers) = left.controls.get_mut(id) else { continue };
        for (control, slot) in device.controls.iter().zip(numbers) {
            let found = partner.controls.position(|c| c.name == control.name);
            match found.and_then(|at| Some((at, partner.controls.get(at)?))) {
                Some((at, other)) => *slot = (at.index() as u32, shared_states(control, other)),
                None => slot.0 += partner.controls.len() as u32,
            }
        }
    }
    (left, right)
}

/// For each guitar input of the old board, the one of the new board that the same guitars are plugged into.
fn plugged(old: &Compiled, new: &Compiled) -> Vec<u32> {
    let names = |c: &Compiled, input: u32| -> Vec<String> {
        c.book.board.on_input(input as u16).map(|g| g.name.clone()).collect()
    };
    let inputs = |c: &Compiled| c.book.board.switcher.as_ref().map_or(0, |s| u32::from(s.guitar_inputs));
    let count = inputs(new);
    let same = |input: u32| {
        let mine = names(old, input);
        // Of inputs with nothing in them each is itself.
        let also = |other: &u32| names(new, *other) == mine && (!mine.is_empty() || *other == input);
        (1..=count).find(also).unwrap_or(count + input)
    };
    (1..=inputs(old)).map(same).collect()
}

/// States that are one: of one name; else of one pattern or program, where neither's name is the other's.
fn shared_states(old: &Control, new: &Control) -> Vec<u32> {
    let alike = |a: &crate::book::State, b: &crate::book::State| {
        (!a.pattern.is_empty() || a.program.is_some())
            && a.pattern == b.pattern
            && (a.program, a.bank) == (b.program, b.bank)
    };
    let known = |list: &[crate::book::State], name: &str| list.iter().position(|s| s.name == name);
    let count = new.states.len() as u32;
    let one = |(at, state): (usize, &crate::book::State)| {
        known(&new.states, &state.name)
            .or_else(|| new.states.iter().position(|s| alike(s, state) && known(&old.states, &s.name).is_none()))
            .map_or(count + at as u32, |n| n as u32)
    };
    old.states.iter().enumerate().map(one).collect()
}

impl<'c> Sound<'c> {
    fn new(
        compiled: &'c Compiled,
        devices: Numbered<DeviceId, u32>,
        states: impl Fn(ControlId, &Control) -> Vec<u32>,
    ) -> Sound<'c> {
        let book = &compiled.book;
        let controls = book
            .board
            .devices
            .iter()
            .map(|d| d.controls.pairs().map(|(at, control)| (at.index() as u32, states(at, control))).collect());
        let loops = book.board.switcher.as_ref().map_or(0, |s| s.loops);
        let in_loop = |n: u16| book.board.loop_holds(n);
        let inputs = book.board.switcher.as_ref().map_or(0, |s| u32::from(s.guitar_inputs));
        Sound {
            compiled,
            controls: controls.collect(),
            devices,
            loops: (1..=loops).map(|n| (n, in_loop(n), n)).collect(),
            plugged: (1..=inputs).collect(),
        }
    }

    /// Everything heard in a scene's row, by key.
    pub fn of(&self, scene: SceneId) -> Vec<Fact> {
        let mut out = Vec::new();
        let book = &self.compiled.book;
        let row = self.compiled.table.row(scene);
        let value = |cell: ColumnId| row.get(cell.index()).copied().unwrap_or(Value::Unknown);
        let cells = &self.compiled.table.cells;
        let asked = Row::of(book, &self.compiled.table, scene);
        let cut = self.compiled.cut_off(scene);
        for (d, device) in book.board.devices.pairs() {
            let Some(shared) = self.devices.get(d).copied() else { continue };
            if cut.as_ref().is_some_and(|cut| cut.contains(&d)) {
                continue;
            }
            match (asked.sounds(d), cells.engaging(d).first().copied()) {
                (Answer::No, _) => continue,
                (Answer::Yes, Some(cell)) => out.push(Fact { key: Key::Device(shared), value: Heard::In, cell }),
                (Answer::Maybe, Some(cell)) => {
                    out.push(Fact { key: Key::Device(shared), value: Heard::Raw(value(cell)), cell });
                }
                (Answer::Maybe, None) => continue,
                (Answer::Yes, None) => {}
            }
            let mut silent = false;
            if let Some(cell) = device.fed_by.and_then(|f| cells.output_cell(f.value)) {
                let value = match asked.fed(d) {
                    Answer::Yes => None,
                    Answer::No => Some(Heard::Silent),
                    Answer::Maybe => Some(Heard::Raw(Value::Unknown)),
                };
                if let Some(value) = value {
                    out.push(Fact { key: Key::Device(shared), value, cell });
                    silent = true;
                }
            }
            self.settings(d, shared, scene, silent, &mut out);
        }
        for (n, _, shared) in self.loops.iter().filter(|(_, device, _)| device.is_none()) {
            if let Some(cell) = self.compiled.table.cells.loop_cell(*n)
                && value(cell) != Value::Off
            {
                out.push(Fact { key: Key::Loop(*shared), value: Heard::Raw(value(cell)), cell });
            }
        }
        self.unused(&value, &mut out);
        if let Some(cell) = cells.guitar_cell() {
            let value = match value(cell) {
                Value::Input(n) => {
                    let shared = self.plugged.get(usize::from(n).saturating_sub(1)).copied();
                    Heard::Plugged(shared.unwrap_or(u32::from(n)), n)
                }
                other => Heard::Raw(other),
            };
            out.push(Fact { key: Key::Guitar, value, cell });
        }
        if let Some(cell) = cells.order_cell() {
            let value = match value(cell) {
                Value::Order(order) => Value::Order(
                    order.heard(&book.board, |l| cells.loop_cell(l).is_none_or(|c| value(c) != Value::Off)),
                ),
                other => other,
            };
            if value != Value::Order(LoopOrder::default()) {
                out.push(Fact { key: Key::Order, value: Heard::Raw(value), cell });
            }
        }
        out.sort_by_key(|f| f.key);
        out
    }

    /// Of an amp that is silent: what a foot does on it, as that is done in silence too.
    fn settings(&self, d: DeviceId, shared: u32, scene: SceneId, silent: bool, out: &mut Vec<Fact>) {
        let (Some(device), Some(numbers)) = (self.compiled.book.board.devices.get(d), self.controls.get(d)) else {
            return;
        };
        let cells = &self.compiled.table.cells;
        let row = Row::of(&self.compiled.book, &self.compiled.table, scene);
        for ((c, control), (number, states)) in device.controls.pairs().zip(numbers) {
            // Whether the device is in is told by itself.
            if device.switches(c) || silent && !matches!(control.how, How::Foot | How::FootLevel { .. }) {
                continue;
            }
            let columns = cells.of_control(d, c);
            let (Some(first), Some(setting)) = (columns.first().copied(), row.setting(d, c)) else {
                continue;
            };
            let steps = cells.list.get(first).map_or(0, |c| c.steps);
            let heard = match (setting, control.how.level()) {
                (Setting::Step(step), Some((from, to))) => level(step, steps, from, to),
                (Setting::Foot(Value::Moved(travel)), Some((from, to))) => {
                    let at = |step: u16| match level(step, steps, from, to) {
                        Heard::Level { value, slack } => (value, slack),
                        _ => (f64::NAN, 0.0),
                    };
                    let ((heel, slack), (toe, _)) = (at(travel.ends().0), at(travel.ends().1));
                    let name = self.compiled.book.board.treadle_name(travel.input());
                    let by = rustc_hash::FxBuildHasher.hash_one(name);
                    Heard::Moved { by, start: travel.start(), heel, toe, slack }
                }
                (Setting::State(state), _) => {
                    states.get(state as usize).map_or(Heard::Raw(Value::Unknown), |state| Heard::State(*state))
                }
                (Setting::Unknown, _) => Heard::Raw(Value::Unknown),
                (Setting::Stays, _) => Heard::Raw(Value::Stays),
                (Setting::Unlisted, _) if columns.len() > 1 => {
                    Heard::Pattern(columns.iter().fold(1, |bits, c| bits * 4 + two_bits(row.value(*c))))
                }
                (Setting::Foot(_) | Setting::Step(_) | Setting::Unlisted, _) => Heard::Raw(row.value(first)),
            };
            out.push(Fact { key: Key::Setting(shared, *number), value: heard, cell: first });
        }
    }

    /// Cells that nothing on the board uses, away from their rest.
    fn unused(&self, value: &dyn Fn(ColumnId) -> Value, out: &mut Vec<Fact>) {
        let fed = |n: u16| self.compiled.book.board.devices.iter().any(|d| d.fed_by.is_some_and(|f| f.value == n));
        for (at, cell) in self.compiled.table.cells.list.pairs() {
            let key = match cell.kind {
                CellKind::Contact(contact) if cell.users.is_empty() => Key::Contact(contact),
                CellKind::Port(n) if cell.users.is_empty() => Key::Port(n),
                CellKind::Output(n) if !fed(n) => Key::Output(n),
                _ => continue,
            };
            let now = value(at);
            if now != cell.unsaid {
                out.push(Fact { key, value: Heard::Raw(now), cell: at });
            }
        }
    }

    /// True where every input holds what it holds in the other book.
    pub fn as_plugged(&self) -> bool {
        self.plugged.iter().zip(1u32..).all(|(shared, input)| *shared == input)
    }

    /// A device by its shared number.
    pub fn device(&self, shared: u32) -> Option<DeviceId> {
        self.devices.position(|d| *d == shared)
    }

    /// A control by its shared number.
    pub fn control(&self, device: DeviceId, shared: u32) -> Option<&'c Control> {
        let at = self.controls.get(device)?.position(|(number, _)| *number == shared)?;
        self.compiled.book.board.devices.get(device)?.controls.get(at)
    }

    /// A state's name by its shared number.
    pub fn state(&self, device: DeviceId, control: u32, shared: u32) -> Option<&'c str> {
        let (_, states) = self.controls.get(device)?.iter().find(|(number, _)| *number == control)?;
        let at = states.iter().position(|s| *s == shared)?;
        self.control(device, control)?.states.get(at).map(|s| s.name.as_str())
    }

    /// How a treadle moves a level, in words.
    pub fn moved(&self, scene: SceneId, device: DeviceId, control: u32) -> Option<String> {
        let at = self.controls.get(device)?.position(|(number, _)| *number == control)?;
        let row = Row::of(&self.compiled.book, &self.compiled.table, scene);
        let (travel, heel, toe) = row.way(device, at)?;
        let start = travel.start().map_or(String::new(), |end| format!(", from the {}", end.word()));
        let treadle = self.compiled.book.board.treadle_name(travel.input());
        Some(format!("moved by `{treadle}` from {} to {}{start}", amount::show(heel), amount::show(toe)))
    }

    /// The amount that a level stands at.
    pub fn level(&self, scene: SceneId, device: DeviceId, control: u32) -> Option<Amount> {
        let at = self.controls.get(device)?.position(|(number, _)| *number == control)?;
        Row::of(&self.compiled.book, &self.compiled.table, scene).amount(device, at)
    }
}

fn two_bits(contact: Value) -> u32 {
    match contact {
        Value::Off => 0,
        Value::On => 1,
        Value::Pulse => 2,
        _ => 3,
    }
}

fn level(step: u16, steps: u16, from: Amount, to: Amount) -> Heard {
    let (from, to) = (from.value(), to.value());
    let last = f64::from(steps.max(2) - 1);
    let value = from + (to - from) * f64::from(step) / last;
    Heard::Level { value, slack: ((to - from) / last / 2.0).abs() * 0.999 }
}
