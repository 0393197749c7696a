//! Differences in words, shared by the formats.

use crate::Compiled;
use crate::book::Slot;
use crate::compare::pairing::Paired;
use crate::compare::stored::{self, Sends, Store, Wire};
use crate::compare::todo::Edit;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::Value;
use crate::written::cell;

/// `20 % → 40 %`.
pub(super) fn change(was: Option<&str>, now: Option<&str>) -> String {
    match (was, now) {
        (Some(was), Some(now)) => format!("{was} → {now}"),
        (None, Some(now)) => format!("now {now}"),
        (Some(was), None) => format!("no longer {was}"),
        (None, None) => String::new(),
    }
}

/// A slot as the unit shows it.
pub(super) fn slot(compiled: &Compiled, slot: Slot) -> String {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    range.map_or("-".to_owned(), |r| r.show(slot))
}

/// The word for what was recognised.
pub(super) fn paired(kind: Paired) -> &'static str {
    match kind {
        Paired::Device => "pedal",
        Paired::Scene => "scene",
        Paired::Song => "song",
        Paired::Set => "set",
    }
}

/// A scene's name.
pub(super) fn scene(compiled: &Compiled, scene: SceneId) -> &str {
    compiled.book.show.scene(scene).map_or("", |s| &s.name)
}

/// What a cell drives, as the tech calls it: `loop 2 (SFT)`, `remote 1 tip`.
pub(super) fn wire(compiled: &Compiled, wire: Wire) -> String {
    match wire {
        Wire::Loop(n) => match compiled.book.board.in_loop(n) {
            Some(device) => format!("loop {n} ({})", device.label()),
            None => format!("loop {n}"),
        },
        Wire::Contact(contact) => contact.says(),
        Wire::Pulses(contact, count) => format!("{}, {count} pulses", contact.says()),
        Wire::Clock => "the clock's tempo".to_owned(),
        Wire::Port(n) => format!("expression {n}"),
        Wire::Output(n) => format!("output {n}"),
        Wire::Trim(n) => format!("trim of output {n}"),
        Wire::Guitar => "guitar input".to_owned(),
        Wire::Order => "order of loops".to_owned(),
        Wire::Programs(channel, _) => format!("midi {channel} program"),
        Wire::Cc(channel, cc, _) => format!("midi {channel} cc {cc}"),
        Wire::Cue(channel, sends, cue, _) => {
            let what = match sends {
                Sends::Programs => "program".to_owned(),
                Sends::Cc(cc) => format!("cc {cc}"),
                Sends::Messages => "messages".to_owned(),
            };
            format!("midi {channel} {what} {}", cue.says()).trim_end().to_owned()
        }
    }
}

/// A cell to set, said as a statement, and what it moves: `engage loop 8 (TDE)`, `close remote 2 tip (swirl speed)`,
/// `expression 1: 20 % → foot (tide depth)`.
pub(super) fn deed(old: &Compiled, new: &Compiled, edit: &Edit) -> String {
    let what = wire(new, edit.wire);
    let deed = match (edit.wire, edit.now) {
        (Wire::Loop(_), Value::On) => format!("engage {what}"),
        (Wire::Loop(_), Value::Off) => format!("bypass {what}"),
        (Wire::Contact(_), Value::On) => format!("close {what}"),
        (Wire::Contact(_), Value::Off) => format!("open {what}"),
        (Wire::Contact(_), Value::Pulse) => format!("pulse {what}"),
        (Wire::Output(_), Value::On) => format!("{what} on"),
        (Wire::Output(_), Value::Off) => format!("{what} off"),
        _ => match values(old, new, edit) {
            (Some(was), now) if was == now && matches!(edit.wire, Wire::Cue(_, Sends::Messages, ..)) => {
                format!("{what}: {now} by other bytes")
            }
            // The device counts its programs anew.
            (Some(was), now) if was == now => format!("{what}: {now} by the new count"),
            (Some(was), now) => format!("{what}: {was} → {now}"),
            (None, now) => format!("{what}: {now}"),
        },
    };
    with_moves(new, deed, edit.cell)
}

/// What a cell drives and moves: `remote 2 tip (swirl speed)`.
pub(super) fn part(compiled: &Compiled, drives: Wire, cell: ColumnId) -> String {
    with_moves(compiled, wire(compiled, drives), cell)
}

fn with_moves(compiled: &Compiled, says: String, cell: ColumnId) -> String {
    match moves(compiled, cell) {
        moves if moves.is_empty() => says,
        moves => format!("{says} ({})", moves.join(", ")),
    }
}

/// The controls that a cell moves, by device.
fn moves(new: &Compiled, cell: ColumnId) -> Vec<String> {
    let users = new.table.cells.list.get(cell).map_or(&[][..], |c| &c.users);
    let name = |(device, control): &(DeviceId, ControlId)| {
        let device = new.book.board.devices.get(*device)?;
        Some(format!("{} {}", device.name, device.controls.get(*control)?.name))
    };
    users.iter().filter_map(name).collect()
}

/// `1 slot`, `3 slots`.
pub(super) fn count(n: usize, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

/// The value that is stored, and the one to store, as tables print them.
pub(super) fn values(old: &Compiled, new: &Compiled, edit: &Edit) -> (Option<String>, String) {
    let text = |c: &Compiled, at: ColumnId, value| {
        let mut out = String::new();
        if let Some(column) = c.table.cells.list.get(at) {
            cell::write(&mut out, &c.book.board, column, value);
        }
        let level = c.table.cells.list.get(at).is_some_and(|c| c.steps > 0);
        let unit = level
            && matches!(edit.wire, Wire::Port(_) | Wire::Trim(_) | Wire::Cc(..) | Wire::Pulses(..) | Wire::Clock)
            && out.ends_with(|c: char| c.is_ascii_digit());
        let unit = if unit { c.table.cells.list.get(at).map(cell::unit) } else { None };
        unit.map_or_else(|| out.clone(), |unit| format!("{out} {unit}"))
    };
    let (was, now) = (edit.was.map(|(at, value)| text(old, at, value)), text(new, edit.cell, edit.now));
    // One program of a channel came to lie in a bank, or the last of them left it.
    let bank = |c: &Compiled, at: ColumnId, value| {
        stored::columns(c).iter().find(|c| c.cell == at).and_then(|c| match c.store(value) {
            Store::Program(bank, _) => bank,
            _ => None,
        })
    };
    match (was, edit.was) {
        (Some(same), Some((at, value))) if same == now && edit.wire.programs() => {
            let (left, right) = (bank(old, at, value), bank(new, edit.cell, edit.now));
            if left == right {
                return (Some(same), now);
            }
            let says = |bank: Option<u16>| bank.map_or(String::new(), |b| format!(" in bank {}", b + 1));
            (Some(same + &says(left)), now + &says(right))
        }
        (was, _) => (was, now),
    }
}

/// `1 press`, `3 presses`.
pub(super) fn presses(n: u32) -> String {
    format!("{n} press{}", if n == 1 { "" } else { "es" })
}

/// Things in a row: `a`, `b` and `c`.
pub(super) fn list(things: &[String]) -> String {
    match things {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
