//! The presets of the helpers: what is stored in each, who calls it and with what.

use super::doc::{Block, Cell, Look, Table, head, para};
use crate::Compiled;
use crate::book::electric::Taker;
use crate::book::{Called, Device, Helper, How, amount};
use crate::fill::helpers::{Wanted, holds, own_loops};
use crate::ids::DeviceId;
use crate::settle::Row;

/// A preset of a helper, in words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// Its number.
    pub number: String,
    /// The loops to engage, as the helper counts them: `1, 3`.
    pub loops: String,
    /// What sits in them.
    pub pedals: String,
    /// What calls it: bytes, or contacts.
    pub call: String,
    /// The scenes that call it.
    pub scenes: String,
}

/// One helper's worksheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sheet {
    /// Its name.
    pub name: String,
    /// What is said of it above the table.
    pub says: Vec<String>,
    /// Its presets, by number; none where each loop is called by itself.
    pub lines: Vec<Line>,
}

/// The worksheets of all helpers, in board order.
pub fn sheets(compiled: &Compiled) -> Vec<Sheet> {
    let board = &compiled.book.board;
    board.helpers().map(|(at, device, helper)| sheet(compiled, at, device, helper)).collect()
}

fn sheet(compiled: &Compiled, at: DeviceId, device: &Device, helper: &Helper) -> Sheet {
    let wanted = compiled.helpers.of_device(at).map_or(&[][..], |c| &c.presets);
    let name = device.name.clone();
    if helper.called != Some(Called::Preset) {
        let says = vec![
            format!("`{name}` holds no presets: each of its loops is called by itself, as the table says."),
            after_power_up(device),
            power(compiled, at, device),
        ];
        return Sheet { name, says, lines: Vec::new() };
    }
    let lines: Vec<Line> = wanted.iter().map(|one| line(compiled, device, at, helper, one)).collect();
    let count = match lines.len() {
        1 => "1 preset is called".to_owned(),
        n => format!("{n} presets are called"),
    };
    let mut says = vec![format!(
        "{count}, one for each combination of its loops that a stored scene wants: no two scenes that engage other loops of it \
         can share one, so none can be saved. What an empty preset of it has is not known: set every loop, in or out."
    )];
    let chosen = wanted.iter().filter(|p| !p.kept && p.number.is_some()).count();
    if chosen > 0 {
        says.push(
            "A number that the book does not give may change when scenes are added: `tipring slots BOOK --pin` writes them \
             into the book."
                .to_owned(),
        );
    }
    says.push(after_power_up(device));
    says.push(power(compiled, at, device));
    Sheet { name, says, lines }
}

/// Contacts hold; a message is only sent when a preset is pressed.
fn after_power_up(device: &Device) -> String {
    let name = &device.name;
    if device.controls.iter().any(|c| matches!(c.how, How::Remote { .. })) {
        return format!("`{name}` follows the contacts of the preset that the switcher stands at, after power-up too.");
    }
    format!(
        "What `{name}` wakes on after power-up is not said, so nobody knows how it stands until the switcher has called it: \
         press a preset before you play."
    )
}

/// What it runs on, as the book says it; the box itself has the last word.
fn power(compiled: &Compiled, at: DeviceId, device: &Device) -> String {
    let (board, name) = (&compiled.book.board, &device.name);
    let Some(power) = board.power(Taker::Device(at)) else {
        return format!("What power `{name}` takes is not said: read voltage and polarity off the box.");
    };
    let volts = power.volts.map_or("voltage not said".to_owned(), |(from, to)| {
        let (from, to) = (amount::show(from.value), amount::show(to.value));
        if from == to { from } else { format!("{from} to {to}") }
    });
    let volts = if power.alternating { format!("{volts} ac") } else { volts };
    let polarity = match power.polarity {
        Some(polarity) => format!(", {}", polarity.word()),
        None if power.alternating => String::new(),
        None => ", polarity not said".to_owned(),
    };
    let current = power.current.map_or(", current not said".to_owned(), |c| format!(", {}", amount::show(c.value)));
    let supply = power.supply.and_then(|s| board.supplies.get(s));
    let outlet = supply.zip(power.outlet).and_then(|(s, o)| Some((s, s.outlets.get(o)?)));
    let from = outlet.map_or(String::new(), |(s, o)| format!(", from `{}` outlet `{}`", s.name, o.name));
    let lead = if power.reversed { " by a lead that reverses" } else { "" };
    format!("`{name}` takes {volts}{polarity}{current}{from}{lead}: read it off the box before a plug goes in.")
}

fn line(compiled: &Compiled, device: &Device, at: DeviceId, helper: &Helper, one: &Wanted) -> Line {
    let own: Vec<String> = own_loops(one.loops).map(|n| n.to_string()).collect();
    let pedals = holds(&compiled.book, helper, one.loops);
    let none = |list: Vec<String>| if list.is_empty() { "none".to_owned() } else { list.join(", ") };
    let scenes = one.scenes.iter().filter_map(|s| Some(compiled.book.show.scene(*s)?.name.to_string()));
    Line {
        number: one.number.map_or("?".to_owned(), |n| n.to_string()),
        loops: none(own),
        pedals: none(pedals),
        call: call(compiled, device, at, one),
        scenes: scenes.collect::<Vec<_>>().join(", "),
    }
}

/// The bytes that the switcher sends for it, or how its contacts stand.
fn call(compiled: &Compiled, device: &Device, at: DeviceId, one: &Wanted) -> String {
    let Some(scene) = one.scenes.first().copied().filter(|_| one.number.is_some()) else { return "?".to_owned() };
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let sent = row.bytes().into_iter().find(|sent| sent.control.0 == at);
    if let Some(sent) = sent {
        return sent.bytes().iter().map(|b| format!("{b:02X}")).collect::<Vec<_>>().join(" ");
    }
    let contacts = device.controls.iter().flat_map(|c| match &c.how {
        How::Remote { contacts, .. } => contacts.as_slice(),
        _ => &[],
    });
    let stands = contacts.map(|c| {
        let cell = compiled.table.cells.contact_cell(c.jack, c.ring);
        let closed = cell.map(|cell| compiled.table.stored(scene, cell)) == Some(crate::settle::Value::On);
        format!("{} {}", c.says(), if closed { "closed" } else { "open" })
    });
    stands.collect::<Vec<_>>().join(", ")
}

/// As blocks of a report: a heading, what is said, and the table with boxes to tick.
pub fn blocks(compiled: &Compiled) -> Vec<Block> {
    let one = |sheet: Sheet| {
        let mut out = vec![head(2, &format!("presets of `{}`", sheet.name).replace('`', ""))];
        out.extend(sheet.says.iter().map(|says| para(says.replace('`', ""))));
        if !sheet.lines.is_empty() {
            let row = |line: Line| {
                let words = [line.loops, line.pedals, line.call, line.scenes];
                let number = Cell::new(line.number, Look::Strong);
                std::iter::once(number).chain(Cell::row(words)).chain([Cell::tick()]).collect()
            };
            let heads = ["preset", "loops in", "pedals", "called by", "in scenes", "set"];
            let rows = sheet.lines.into_iter().map(row).collect();
            out.push(Block::Table(Table::new(&format!("presets of {}", sheet.name), &heads, 1, &[1, 2, 3, 4], rows)));
        }
        out
    };
    sheets(compiled).into_iter().flat_map(one).collect()
}
