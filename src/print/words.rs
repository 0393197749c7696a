//! Each scene in the musician's words: what is on, on what, and what the foot does.

use crate::Compiled;
use crate::book::device::Contact;
use crate::book::message::Cue;
use crate::book::{Amount, Board, Control, Device, DeviceKind, How, Ways, What, amount};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Row, Setting, Value};
use crate::written::cell;

/// What is said of a part that is called from outside.
pub const CALLED: &str = "by the computer";

/// One line a scene, in the order of the table.
pub fn table(compiled: &Compiled) -> String {
    let mut out = String::new();
    if compiled.errors() > 0 {
        out.push_str("DRAFT: the book has errors; what is not known is called unknown\n");
    }
    let mut told = vec![false; compiled.book.show.scenes.len()];
    for preset in &compiled.presets {
        let Some(told) = told.get_mut(preset.scene.index()).filter(|told| !**told) else { continue };
        *told = true;
        let name = compiled.book.show.scene(preset.scene).map_or("", |s| &s.name);
        out.push_str(&format!("{name}: {}\n", scene(compiled, preset.scene)));
    }
    out
}

/// The ways into a preset that pulses are held against.
pub fn ways_in(board: &Board) -> String {
    let wakes = if board.timing.wakes.is_some() { " and the preset that the unit wakes on" } else { "" };
    let next = match board.ways.map(|w| w.value) {
        Some(Ways::Any) => "any preset to any other",
        Some(Ways::Listed) => "the first part of each set, then part after part as listed",
        None => "the first part of each set, any part of a song to any other, the last part to the next song's first",
    };
    format!("power-up{wakes}; {next}")
}

/// What a scene sounds like: "filter off, drive on, combo on lead, foot moves tremolo depth from the
/// heel".
pub fn scene(compiled: &Compiled, scene: SceneId) -> String {
    let row = Words { compiled, scene, row: Row::of(&compiled.book, &compiled.table, scene) };
    let mut says = Vec::new();
    row.outputs(&mut says);
    let mut devices: Vec<(DeviceId, &Device)> = compiled.book.board.devices.pairs().collect();
    // In the order of the loops, then what is always on, by name.
    devices.sort_by_key(|(_, d)| (d.loop_at.map_or(u16::MAX, |l| l.value), &d.name));
    let mut feet = Vec::new();
    for (number, device) in devices {
        row.device(number, device, &mut says, &mut feet);
    }
    row.bare(&mut says);
    says.append(&mut feet);
    let sounds = if says.is_empty() { "nothing in".to_owned() } else { says.join(", ") };
    let sends = row.sends().into_iter().map(|sends| sends.says(sends.cue));
    let besides = sends.chain(super::inside::says(compiled, scene));
    std::iter::once(sounds).chain(besides).collect::<Vec<_>>().join("; ")
}

/// What a preset sends to what makes no sound.
pub struct Sends {
    /// The device and its control.
    pub control: (DeviceId, ControlId),
    /// When it goes out, and how often.
    pub cue: Cue,
    /// What: `lamps look amber`.
    what: String,
}

impl Sends {
    /// With when it goes out: `on leaving: lamps out fade`; nothing where that is as the preset is entered.
    pub fn says(&self, cue: Cue) -> String {
        let when = cue.says();
        if when.is_empty() { self.what.clone() } else { format!("{when}: {}", self.what) }
    }
}

/// What a scene's preset sends to what makes no sound, by when it goes out.
pub fn sends(compiled: &Compiled, scene: SceneId) -> Vec<Sends> {
    Words { compiled, scene, row: Row::of(&compiled.book, &compiled.table, scene) }.sends()
}

/// Closer together than this, in % of the travel, two places are told as one: a port of 128 steps never rounds further.
const HEARD: f64 = 0.5;

struct Words<'c> {
    compiled: &'c Compiled,
    scene: SceneId,
    row: Row<'c>,
}

impl Words<'_> {
    fn value(&self, cell: ColumnId) -> Value {
        self.row.value(cell)
    }

    /// Every output off, or the amps that do not sound.
    fn outputs(&self, says: &mut Vec<String>) {
        let cells = self.compiled.table.cells.list.numbered();
        let outputs: Vec<(u16, Value, Value)> = cells
            .filter_map(|(cell, c)| match cell.kind {
                CellKind::Output(number) => Some((number, cell.unsaid, self.value(c))),
                _ => None,
            })
            .collect();
        let fed = |unsaid: Value| unsaid == Value::On;
        let mut heard = outputs.iter().filter(|o| !self.compiled.book.board.watched(o.0));
        if heard.clone().any(|o| fed(o.1)) && heard.all(|o| o.2 == Value::Off) {
            return says.push("silent".to_owned());
        }
        for (number, unsaid, value) in outputs.into_iter().filter(|(_, unsaid, value)| unsaid != value) {
            let amps = self.compiled.book.board.devices.iter().filter(|d| d.fed_by.is_some_and(|f| f.value == number));
            let mut names: Vec<&str> = amps.map(|d| d.name.as_str()).collect();
            names.sort_unstable();
            let what = if fed(unsaid) { names.join(" and ") } else { format!("output {number}") };
            says.push(format!("{what} {}", on_or_off(value)));
        }
    }

    fn device(&self, number: DeviceId, device: &Device, says: &mut Vec<String>, feet: &mut Vec<String>) {
        let column = self.compiled.table.cells.engaging(number).first();
        match (self.row.sounds(number), column) {
            (Answer::Yes, _) => {}
            // Off is worth a word where the scene that this one comes from has it on.
            (Answer::No, _) if self.parent_has(number) => return says.push(format!("{} off", device.name)),
            (Answer::Maybe, Some(_)) => return says.push(format!("{} unknown", device.name)),
            (Answer::No | Answer::Maybe, _) => return,
        }
        let mut on = Vec::new();
        for (c, control) in device.controls.pairs().filter(|(c, _)| !device.switches(*c)) {
            self.control((number, c), device, control, &mut on, feet);
        }
        match (column, on.is_empty()) {
            (Some(_), true) => says.push(format!("{} on", device.name)),
            (Some(_), false) => says.push(format!("{} on ({})", device.name, on.join(", "))),
            // An amp or an always-on pedal is on anyway: what matters is how.
            (None, _) => says.extend(on.iter().map(|how| format!("{} {how}", device.name))),
        }
    }

    fn parent_has(&self, device: DeviceId) -> bool {
        let (book, table) = (&self.compiled.book, &self.compiled.table);
        let parent = book.show.scene(self.scene).and_then(|s| s.parent);
        parent.is_some_and(|p| Row::of(book, table, p).sounds(device) == Answer::Yes)
    }

    fn control(
        &self,
        (d, c): (DeviceId, ControlId),
        device: &Device,
        control: &Control,
        on: &mut Vec<String>,
        feet: &mut Vec<String>,
    ) {
        let Some(setting) = self.row.setting(d, c) else { return };
        let name = &control.name;
        let full = format!("{} {name}", device.name);
        match setting {
            Setting::Unknown => return on.push(format!("{name} unknown")),
            Setting::Stays => return on.push(format!("{name} stays as it is")),
            // Nobody hears how a silent amp is set.
            _ if self.row.fed(d) == Answer::No => return,
            _ => {}
        }
        let how = match setting {
            Setting::Foot(Value::Moved(_)) => {
                let Some((travel, heel, toe)) = self.row.way(d, c) else { return };
                let treadle = self.compiled.book.board.treadle_name(travel.input());
                let start = travel.start().map_or(String::new(), |end| format!(", {} down to start", end.word()));
                let (heel, toe) = (amount::show(heel), amount::show(toe));
                return feet.push(format!("{treadle} moves {full} from {heel} to {toe}{start}"));
            }
            Setting::Foot(from) => {
                let from = match from {
                    Value::FromHeel => " from the heel",
                    Value::FromToe => " from the toe",
                    _ => "",
                };
                return feet.push(format!("foot moves {full}{from}"));
            }
            Setting::Step(_) => self.level(d, c),
            Setting::State(state) => control.states.get(state as usize).map_or(String::new(), |s| s.name.clone()),
            _ => return on.push(format!("{name} in no state it knows")),
        };
        match control.how {
            How::Foot | How::FootLevel { .. } => feet.push(format!("foot sets {full} to {how}")),
            // An amp has one channel, and is on it.
            _ if device.kind == DeviceKind::Amp && name == "channel" => on.push(format!("on {how}")),
            _ => on.push(format!("{name} {how}")),
        }
    }

    /// What goes to listeners, by when it goes out.
    fn sends(&self) -> Vec<Sends> {
        let listeners = self.compiled.book.board.devices.pairs().filter(|(_, device)| device.listens());
        let controls = listeners.flat_map(|(d, device)| device.controls.pairs().map(move |c| (d, device, c)));
        let one = |(d, device, (c, control)): (DeviceId, &Device, (ControlId, &Control))| {
            let to = match self.row.setting(d, c)? {
                Setting::State(state) => control.states.get(usize::from(state)).map_or("?", |s| s.name.as_str()),
                Setting::Unknown => "unknown",
                _ => return None,
            };
            let what = format!("{} {} {to}", device.name, control.name);
            Some(Sends { control: (d, c), cue: control.cue, what })
        };
        let mut out: Vec<Sends> = controls.filter_map(one).collect();
        out.sort_by_key(|sends| sends.cue);
        out
    }

    /// A level as it was said: the pedal's own value, or where its port stands; and what is stored, where that is another
    /// place to the ear.
    fn level(&self, device: DeviceId, control: ControlId) -> String {
        let cell = self.compiled.table.cells.of_control(device, control).first().copied();
        let said = cell.and_then(|cell| self.row.said(cell));
        if let (Some((What::Port { .. }, travel)), Some(cell)) = (said, cell) {
            return format!("at {} of its travel{}", amount::show(travel), self.apart(cell, travel.value()));
        }
        let Some(amount) = self.row.amount(device, control) else { return "unknown".to_owned() };
        let found = self.compiled.book.board.devices.get(device);
        let range = found.and_then(|d| d.controls.get(control)?.how.level());
        let share =
            |(from, to): (Amount, Amount)| (amount.value() - from.value()) / (to.value() - from.value()) * 100.0;
        let apart = cell.zip(range).map(|(cell, range)| self.apart(cell, share(range)));
        amount::show(amount) + &apart.unwrap_or_default()
    }

    /// What a port of few steps stores, where it lies apart from the travel that was said, in %.
    fn apart(&self, cell: ColumnId, travel: f64) -> String {
        let value = self.value(cell);
        let (Some(column), Value::Step(step)) = (self.compiled.table.cells.list.get(cell), value) else {
            return String::new();
        };
        let stored = f64::from(step) / f64::from(column.steps.max(2) - 1) * 100.0;
        let mut says = String::new();
        if (stored - travel).abs() > HEARD {
            says.push_str(", stored at ");
            cell::write(&mut says, &self.compiled.book.board, column, value);
            says.push_str(" % of its travel");
        }
        says
    }

    /// What is said to the hardware where no pedal is known.
    fn bare(&self, says: &mut Vec<String>) {
        let book = &self.compiled.book;
        for (cell, c) in self.compiled.table.cells.list.numbered() {
            let value = self.value(c);
            if !cell.users.is_empty() || value == cell.unsaid {
                continue;
            }
            match cell.kind {
                CellKind::Loop(number) if book.board.in_loop(number).is_none() => {
                    says.push(format!("{} {}", book.board.loop_says(number), on_or_off(value)));
                }
                CellKind::Contact(contact) => says.push(bare_contact(contact, value)),
                CellKind::Guitar => says.push(match value {
                    Value::Input(input) => format!("{} heard", book.board.plugged(input)),
                    _ => "guitar unknown".to_owned(),
                }),
                CellKind::Order => says.push(match value {
                    Value::Order(order) => format!("{} in this order", order.says(&book.board).join(", ")),
                    _ => "order of loops unknown".to_owned(),
                }),
                CellKind::Port(number) => says.push(match value {
                    Value::Step(_) => {
                        let said = self.row.said(c).map(|(_, travel)| travel);
                        let apart = said.map_or(String::new(), |travel| self.apart(c, travel.value()));
                        let said = said.map_or("unknown".to_owned(), amount::show);
                        format!("expression {number} at {said} of its travel{apart}")
                    }
                    Value::Stays => format!("expression {number} stays as it is"),
                    v if v.foot() => format!("foot moves expression {number}"),
                    _ => format!("expression {number} unknown"),
                }),
                _ => {}
            }
        }
    }
}

fn bare_contact(contact: Contact, value: Value) -> String {
    let value = match value {
        Value::On => "closed",
        Value::Off => "open",
        Value::Pulse => "pulses",
        Value::Stays => "stays as it is",
        _ => "unknown",
    };
    format!("{} {value}", contact.says())
}

fn on_or_off(value: Value) -> &'static str {
    match value {
        Value::On => "on",
        Value::Off => "off",
        _ => "unknown",
    }
}
