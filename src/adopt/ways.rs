//! The statements by which a switch moves just these cells.

use super::presses::Move;
use crate::book::inside::{Does, Moved};
use crate::book::{Board, Device, How};
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::settle::{CellKind, Cells, Value};

/// A statement: what it moves, and how the cells that it settles stand in the scene.
#[derive(Clone, Debug)]
pub(super) struct Way {
    /// The plainest is 0.
    pub rank: u8,
    pub moved: Moved,
    pub stands: Vec<(ColumnId, Value)>,
}

/// Ranks: a thing by its own name; one said more closely than it need be; a bare contact that is part of a setting.
const PLAIN: u8 = 0;
const CLOSER: u8 = 1;
const BARE: u8 = 2;

/// All statements that bring these cells there and back. `stands` is how a cell stands in the scene, None where that is
/// open; `others` are the cells that other switches move, which a statement about them must not touch.
pub(super) fn all(
    board: &Board,
    cells: &Cells,
    moves: &[Move],
    stands: impl Fn(ColumnId) -> Option<Value>,
    others: &[ColumnId],
) -> Vec<Way> {
    let mut out = Vec::new();
    let Some(first) = moves.first() else { return out };
    let Some(column) = cells.list.get(first.cell) else { return out };
    let two = |m: &Move| matches!((m.there, m.back), (Value::On, Value::Off) | (Value::Off, Value::On));
    if moves.len() == 1 && two(first) {
        let moved = match column.kind {
            CellKind::Loop(number) if !column.apart => Some((PLAIN, Moved::Loop(number))),
            CellKind::Output(number) => Some((PLAIN, Moved::Output(number))),
            CellKind::Contact(contact) if !column.pulses() && !column.calls => {
                Some((BARE, Moved::Contact(contact.jack, contact.ring)))
            }
            _ => None,
        };
        out.extend(moved.map(|(rank, moved)| Way { rank, moved, stands: vec![(first.cell, first.back)] }));
    }
    for (d, c) in &column.users {
        let columns = cells.of_control(*d, *c);
        let Some(device) = board.devices.get(*d) else { continue };
        let reaches = moves.iter().all(|m| columns.contains(&m.cell));
        if reaches && !columns.iter().any(|cell| others.contains(cell)) {
            settings(cells, device, (*d, *c), moves, &stands, &mut out);
        }
    }
    out
}

/// From one setting of a control to another.
fn settings(
    cells: &Cells,
    device: &Device,
    (d, c): (DeviceId, ControlId),
    moves: &[Move],
    stands: impl Fn(ColumnId) -> Option<Value>,
    out: &mut Vec<Way>,
) {
    let Some(control) = device.controls.get(c) else { return };
    if control.momentary() || control.how.level().is_some() || matches!(control.how, How::Foot | How::Unknown) {
        return;
    }
    let (columns, states) = (cells.of_control(d, c), cells.states(d, c));
    for (b, base) in states.iter().enumerate() {
        for (t, wanted) in states.iter().enumerate() {
            let fits = columns.iter().zip(base.iter().zip(wanted)).all(|(cell, (base, wanted))| {
                match moves.iter().find(|m| m.cell == *cell) {
                    Some(moved) => moved.back == *base && moved.there == *wanted,
                    None => base == wanted && stands(*cell).is_none_or(|value| value == *base),
                }
            });
            if !fits {
                continue;
            }
            let stands: Vec<(ColumnId, Value)> = columns.iter().copied().zip(base.iter().copied()).collect();
            let mut way = |rank: u8, moved: Moved| out.push(Way { rank, moved, stands: stands.clone() });
            let engages = device.engaged_by.filter(|by| by.control == c && device.loop_at.is_none());
            let between = engages.map(|by| [by.engaged, by.bypassed]);
            let engages = between.is_some_and(|two| two == [b as u16, t as u16] || two == [t as u16, b as u16]);
            if engages {
                way(PLAIN, Moved::Device(d));
            }
            let rank = if engages { CLOSER } else { PLAIN };
            if states.len() == 2 {
                way(rank, Moved::Control(d, c, None));
            }
            let closer = if engages || states.len() == 2 { CLOSER } else { PLAIN };
            way(closer, Moved::Control(d, c, Some(t as u16)));
        }
    }
}

/// Why no statement moves such cells, and what to do.
pub(super) fn none(cells: &Cells, moves: &[Move]) -> String {
    let columns = || moves.iter().filter_map(|m| cells.list.get(m.cell));
    let names: Vec<String> = columns().map(|c| format!("`{}`", c.name)).collect();
    let names = names.join(" and ");
    let way = "say `nothing` here, and give the other sound a row of its own";
    if columns().any(|c| c.steps > 0) {
        return format!("no switch moves a level or a tempo, as {names} is: {way}");
    }
    if columns().any(|c| c.apart || c.calls) {
        return format!("{names} belongs to a helper, whose loops presets call and no switch inside them does: {way}");
    }
    if columns().any(|c| c.pulses()) {
        return format!("pulses move {names}, and a pulse does not say where it ends: {way}");
    }
    if moves.len() > 1 {
        return format!(
            "a switch moves one thing, and no setting that the board describes moves just {names}: describe it there \
             (`--board BOARD.scene`), or {way}"
        );
    }
    format!(
        "a switch moves a pedal, a loop, an output, a contact or a setting that the board describes, and {names} so is none: {way}"
    )
}

/// The statement for what a switch does.
pub(super) fn line(board: &Board, switch: u8, does: Does) -> String {
    let name = board.switches_named(1 << switch);
    match does {
        Does::Nothing => format!("switch {name} does nothing"),
        Does::Toggles(moved) => format!("switch {name} toggles {}", thing(board, moved)),
        Does::Holds(moved) => format!("switch {name} holds {}", thing(board, moved)),
    }
}

fn thing(board: &Board, moved: Moved) -> String {
    let device = |d: DeviceId| board.devices.get(d).map_or("", |device| &device.name);
    match moved {
        // What sounds always is not engaged by name.
        Moved::Loop(number) => match board.in_loop(number).filter(|device| !device.always()) {
            Some(device) => device.name.clone(),
            None => format!("loop {number}"),
        },
        Moved::Device(d) => device(d).to_owned(),
        Moved::Output(number) => format!("output {number}"),
        Moved::Contact(jack, ring) => format!("remote {jack} {}", if ring { "ring" } else { "tip" }),
        Moved::Control(d, c, state) => {
            let control = board.devices.get(d).and_then(|device| device.controls.get(c));
            let state = state.and_then(|s| control?.states.get(usize::from(s))).map(|s| format!(" {}", s.name));
            format!("{}.{}{}", device(d), control.map_or("", |c| &c.name), state.unwrap_or_default())
        }
    }
}
