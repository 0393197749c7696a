//! Each scene in the musician's words: what is on, on what, and what the foot does.

use crate::Compiled;
use crate::book::device::Contact;
use crate::book::words::amount_of;
use crate::book::{Control, Device, DeviceKind, How, LevelValue, What};
use crate::settle::why::reasons;
use crate::settle::{CellKind, Value};

/// One line a scene, in the order of the table.
pub fn table(compiled: &Compiled) -> String {
    let mut out = String::new();
    if compiled.errors() > 0 {
        out.push_str("DRAFT: the book has errors; what is not known is called unknown\n");
    }
    let mut told = vec![false; compiled.book.scenes.len()];
    for preset in &compiled.presets {
        let Some(told) = told.get_mut(preset.scene as usize).filter(|told| !**told) else { continue };
        *told = true;
        let name = compiled.book.scene(preset.scene).map_or("", |s| &s.name);
        out.push_str(&format!("{name}: {}\n", scene(compiled, preset.scene)));
    }
    out
}

/// What a scene sounds like: "filter off, drive on, combo on lead, foot moves tremolo depth from the
/// heel".
pub fn scene(compiled: &Compiled, scene: u32) -> String {
    let row = Row { compiled, scene };
    let mut says = Vec::new();
    row.outputs(&mut says);
    let mut devices: Vec<(usize, &Device)> = compiled.book.devices.iter().enumerate().collect();
    // In the order of the loops, then what is always on, by name.
    devices.sort_by_key(|(_, d)| (d.loop_at.map_or(u16::MAX, |l| l.value), &d.name));
    let mut feet = Vec::new();
    for (number, device) in devices {
        row.device(number as u16, device, &mut says, &mut feet);
    }
    row.bare(&mut says);
    says.append(&mut feet);
    if says.is_empty() { "nothing in".to_owned() } else { says.join(", ") }
}

struct Row<'c> {
    compiled: &'c Compiled,
    scene: u32,
}

impl Row<'_> {
    fn value(&self, cell: u16) -> Value {
        self.compiled.table.value(self.scene, cell)
    }

    /// Every output off, or the amps that do not sound.
    fn outputs(&self, says: &mut Vec<String>) {
        let cells = self.compiled.table.cells.list.iter().zip(0u16..);
        let outputs: Vec<(u16, Value, Value)> = cells
            .filter_map(|(cell, c)| match cell.kind {
                CellKind::Output(number) => Some((number, cell.unsaid, self.value(c))),
                _ => None,
            })
            .collect();
        let fed = |unsaid: Value| unsaid == Value::On;
        if outputs.iter().any(|o| fed(o.1)) && outputs.iter().all(|o| o.2 == Value::Off) {
            return says.push("silent".to_owned());
        }
        for (number, unsaid, value) in outputs.into_iter().filter(|(_, unsaid, value)| unsaid != value) {
            let amps = self.compiled.book.devices.iter().filter(|d| d.fed_by.is_some_and(|f| f.value == number));
            let mut names: Vec<&str> = amps.map(|d| d.name.as_str()).collect();
            names.sort_unstable();
            let what = if fed(unsaid) { names.join(" and ") } else { format!("output {number}") };
            says.push(format!("{what} {}", on_or_off(value)));
        }
    }

    fn device(&self, number: u16, device: &Device, says: &mut Vec<String>, feet: &mut Vec<String>) {
        let column = device.loop_at.and_then(|l| self.compiled.table.cells.loop_cell(l.value));
        match column.map(|c| self.value(c)) {
            Some(Value::On) => {}
            Some(Value::Off) => {
                // Off is worth a word where the scene that this one comes from has it on.
                if column.is_some_and(|c| self.parent_has(c)) {
                    says.push(format!("{} off", device.name));
                }
                return;
            }
            Some(_) => return says.push(format!("{} unknown", device.name)),
            None if !device.always() => return,
            None => {}
        }
        let mut on = Vec::new();
        for (c, control) in device.controls.iter().enumerate() {
            self.control((number, c as u16), device, control, &mut on, feet);
        }
        match (column, on.is_empty()) {
            (Some(_), true) => says.push(format!("{} on", device.name)),
            (Some(_), false) => says.push(format!("{} on ({})", device.name, on.join(", "))),
            // An amp or an always-on pedal is on anyway: what matters is how.
            (None, _) => says.extend(on.iter().map(|how| format!("{} {how}", device.name))),
        }
    }

    /// An amp whose output is off.
    fn quiet(&self, device: &Device) -> bool {
        let output = device.fed_by.map(|f| CellKind::Output(f.value));
        let cells = self.compiled.table.cells.list.iter().zip(0u16..);
        let mut its = cells.filter(|(cell, _)| Some(cell.kind) == output);
        its.any(|(_, c)| self.value(c) == Value::Off)
    }

    fn parent_has(&self, column: u16) -> bool {
        let parent = self.compiled.book.scene(self.scene).and_then(|s| s.parent);
        parent.is_some_and(|p| self.compiled.table.value(p, column) == Value::On)
    }

    fn control(
        &self,
        (d, c): (u16, u16),
        device: &Device,
        control: &Control,
        on: &mut Vec<String>,
        feet: &mut Vec<String>,
    ) {
        let cells = &self.compiled.table.cells;
        let columns = cells.of_control(d, c);
        let values: Vec<Value> = columns.iter().map(|c| self.value(*c)).collect();
        let Some(first) = values.first() else { return };
        let name = &control.name;
        let full = format!("{} {name}", device.name);
        if values.contains(&Value::Unknown) {
            return on.push(format!("{name} unknown"));
        }
        if values.iter().all(|v| *v == Value::Stays) {
            return on.push(format!("{name} stays as it is"));
        }
        if self.quiet(device) {
            return;
        }
        let from = match first {
            Value::Foot => Some(""),
            Value::FromHeel => Some(" from the heel"),
            Value::FromToe => Some(" from the toe"),
            _ => None,
        };
        if let Some(from) = from {
            return feet.push(format!("foot moves {full}{from}"));
        }
        if control.how.level().is_some() {
            let level = columns.first().map_or(String::new(), |c| self.level(*c));
            return match control.how {
                How::FootLevel { .. } => feet.push(format!("foot sets {full} to {level}")),
                _ => on.push(format!("{name} {level}")),
            };
        }
        let listed = (0..control.states.len()).find(|s| cells.of_state(d, c, *s as u16) == values.as_slice());
        let Some(state) = listed.and_then(|s| control.states.get(s)) else {
            return on.push(format!("{name} in no state it knows"));
        };
        match control.how {
            How::Foot => feet.push(format!("foot sets {full} to {}", state.name)),
            // An amp has one channel, and is on it.
            _ if device.kind == DeviceKind::Amp && name == "channel" => on.push(format!("on {}", state.name)),
            _ => on.push(format!("{name} {}", state.name)),
        }
    }

    /// A level as its statement was written: the pedal's own value, or where its port stands.
    fn level(&self, column: u16) -> String {
        let Compiled { book, table, files, .. } = self.compiled;
        let live = reasons(book, table, self.scene, column).into_iter().find(|r| r.live);
        let said = live.and_then(|r| book.sayings.get(r.saying as usize));
        match said.map(|s| (s.what, amount_of(files.text(s.at)))) {
            Some((What::Level { .. }, amount)) => amount.to_owned(),
            Some((What::Port { value: LevelValue::Step(_), .. }, amount)) => format!("at {amount} of its travel"),
            _ => "unknown".to_owned(),
        }
    }

    /// What is said to the hardware where no pedal is known.
    fn bare(&self, says: &mut Vec<String>) {
        let book = &self.compiled.book;
        for (cell, c) in self.compiled.table.cells.list.iter().zip(0u16..) {
            let value = self.value(c);
            if !cell.users.is_empty() || value == cell.unsaid {
                continue;
            }
            match cell.kind {
                CellKind::Loop(number) if book.in_loop(number).is_none() => {
                    says.push(format!("loop {number} {}", on_or_off(value)));
                }
                CellKind::Contact(contact) => says.push(bare_contact(contact, value)),
                CellKind::Port(number) => says.push(match value {
                    Value::Step(_) => format!("expression {number} {}", self.level(c)),
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
