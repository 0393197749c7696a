//! How a cell's value is written in tables.

use std::fmt::Write;

use crate::book::device::{FASTEST, FINEST, SLOWEST};
use crate::book::travel::MOST_INPUTS;
use crate::book::{Amount, Board, Control, Device, LoopOrder, Travel, amount};
use crate::settle::{Cell, CellKind, Value};

/// Writes a value as tables do: `0 1 pulse stays ? foot`, a position in %, a trim in dB, a program, a state's name. `3-1` are loops that
/// stand in each other's places. `foot 1 25.2..88.2` is a level that the treadle on
/// input 1 moves, from its position with the heel down to that with the toe down.
pub fn write(out: &mut String, board: &Board, cell: &Cell, value: Value) {
    match value {
        Value::Off => out.push('0'),
        Value::On => out.push('1'),
        Value::Pulse => out.push_str("pulse"),
        Value::Stays => out.push_str("stays"),
        Value::Unknown => out.push('?'),
        Value::Foot | Value::FromHeel | Value::FromToe => out.push_str("foot"),
        Value::Moved(travel) => {
            let (heel, toe) = travel.ends();
            let _ = write!(out, "foot {} ", travel.input());
            in_tenths(out, shown_tenths(cell, heel));
            out.push_str("..");
            in_tenths(out, shown_tenths(cell, toe));
        }
        Value::Program(program) => drop(write!(out, "{program}")),
        Value::Step(step) => match trim(board, cell) {
            Some((from, to)) => {
                let shown = amount::show(amount::at_step(step, cell.steps, from, to));
                out.push_str(shown.trim_end_matches("dB").trim_end());
            }
            None => in_tenths(out, shown_tenths(cell, step)),
        },
        Value::State(state) => out.push_str(&state_name(board, cell, state)),
        Value::Input(input) => drop(write!(out, "{input}")),
        Value::Order(order) if order.wired() => out.push_str(WIRED),
        Value::Order(order) => {
            let loops: Vec<String> = order.moved(board).iter().map(u16::to_string).collect();
            out.push_str(&loops.join("-"));
        }
    }
}

/// True where a table says nothing of a cell: nobody read it, or it does not matter.
pub fn unsaid(text: &str) -> bool {
    matches!(text, "" | "-" | "?")
}

/// The same as a text of its own.
pub fn shown(board: &Board, cell: &Cell, value: Value) -> String {
    let mut text = String::new();
    write(&mut text, board, cell, value);
    text
}

/// What a cell holds that is written so, the other way round from [`write`]; None when nothing is. Of steps that are
/// written alike the middle one.
pub fn read(board: &Board, cell: &Cell, text: &str) -> Option<Value> {
    let text = text.trim();
    match text {
        "pulse" => return Some(Value::Pulse),
        "stays" => return Some(Value::Stays),
        "foot" => return Some(Value::Foot),
        _ => {}
    }
    if cell.kind.paced() {
        return tempo_step(text).map(Value::Step);
    }
    if let Some((from, to)) = trim(board, cell) {
        let number = text.trim_end_matches(['d', 'B', 'D', 'b']).trim_end();
        return Amount::read(&format!("{number} dB"))?.step(from, to, cell.steps).map(Value::Step);
    }
    if let Some((input, heel, toe)) = moved(text).filter(|_| cell.steps > 0) {
        return Some(Value::Moved(Travel::new(input, None, step(heel, cell.steps)?, step(toe, cell.steps)?)));
    }
    if cell.steps > 0 {
        return step(text.trim_end_matches('%').trim_end(), cell.steps).map(Value::Step);
    }
    let states = cell.users.first().and_then(|(d, c)| board.devices.get(*d)?.controls.get(*c));
    let named = |cell: &Cell| {
        let written = |state: &u16| state_name(board, cell, *state).eq_ignore_ascii_case(text);
        (0..states.map_or(0, |c| c.states.len()) as u16).find(written)
    };
    match cell.kind {
        CellKind::Message { .. } if states.is_some_and(|c| c.numbered()) => text.parse().ok().map(Value::Program),
        CellKind::Message { .. } | CellKind::ByFoot { .. } => named(cell).map(Value::State),
        CellKind::Contact(_) if cell.pulses() => named(cell).map(Value::State),
        CellKind::Order => order(board, text).map(Value::Order),
        CellKind::Guitar => text.parse().ok().filter(|input| *input > 0).map(Value::Input),
        _ => match text {
            "0" => Some(Value::Off),
            "1" => Some(Value::On),
            _ => None,
        },
    }
}

/// An order of loops in words: `gully, ember in this order`.
pub fn in_order(board: &Board, order: LoopOrder) -> String {
    let moved = order.says(board);
    if moved.is_empty() { "loops as wired".to_owned() } else { format!("{} in this order", moved.join(", ")) }
}

/// How an order of loops is read off a table.
pub(crate) const ORDER: &str = "order 3-1: loops 3 and 1 stand in each other's places, 3 before 1";

/// The loops in the order of the chains.
const WIRED: &str = "wired";

/// `3-1`: the loops that stand in the place of another, in the order of the signal.
fn order(board: &Board, text: &str) -> Option<LoopOrder> {
    if text.eq_ignore_ascii_case(WIRED) {
        return Some(LoopOrder::default());
    }
    let loops: Option<Vec<u16>> = text.split('-').map(|l| l.trim().parse().ok()).collect();
    let loops = loops?;
    let order = LoopOrder::named(board, &loops);
    (order.moved(board) == loops).then_some(order)
}

/// `foot 1 25.2..88.2`: the input, and what stands there for the two ends of the way.
pub(crate) fn moved(text: &str) -> Option<(u8, &str, &str)> {
    let (input, way) = text.strip_prefix("foot ")?.trim_start().split_once(' ')?;
    let (heel, toe) = way.trim_end_matches('%').split_once("..")?;
    let input = input.parse().ok().filter(|n| (1..=MOST_INPUTS).contains(&u32::from(*n)))?;
    let bare = |end: &'_ str| end.trim().trim_end_matches('%').trim_end().len();
    let (heel, toe) = (heel.trim(), toe.trim());
    Some((input, heel.get(..bare(heel))?, toe.get(..bare(toe))?))
}

/// The step whose position is nearest to one in %.
fn step(text: &str, steps: u16) -> Option<u16> {
    let amount = Amount::read(&format!("{text} %"))?;
    amount.step(Amount::percent(0), Amount::percent(100), steps)
}

/// The ends of the scale that pulses are stored on.
const SCALE: (Amount, Amount) = (Amount::bpm(SLOWEST), Amount::bpm(FASTEST));

/// The step of a tempo: `92`, `92 bpm`; of steps that are written alike the middle one.
pub fn tempo_step(text: &str) -> Option<u16> {
    let number = text.trim_end_matches("bpm").trim_end();
    Amount::read(&format!("{number} bpm"))?.step(SCALE.0, SCALE.1, FINEST)
}

/// The tempo of a step in tenths of a beat a minute, halves rounded up.
fn tempo_tenths(step: u16) -> u32 {
    let (last, wide) = (u64::from(FINEST) - 1, (FASTEST - SLOWEST).unsigned_abs());
    let tenths = (2 * u64::from(step) * wide * 10 + last) / (2 * last) + SLOWEST.unsigned_abs() * 10;
    u32::try_from(tenths).unwrap_or(u32::MAX)
}

/// What the number of a level counts in tables.
pub fn unit(cell: &Cell) -> &'static str {
    match cell.kind {
        CellKind::Trim(_) => "dB",
        kind if kind.paced() => "bpm",
        _ => "%",
    }
}

/// The range of a trim, in dB.
fn trim(board: &Board, cell: &Cell) -> Option<(Amount, Amount)> {
    let (device, control) = cell.users.first().filter(|_| matches!(cell.kind, CellKind::Trim(_)))?;
    board.devices.get(*device)?.controls.get(*control)?.how.level()
}

/// A stored step as tables write it, in tenths: a position in percent, or a tempo.
pub fn shown_tenths(cell: &Cell, step: u16) -> u32 {
    if cell.kind.paced() { tempo_tenths(step) } else { tenths(step, cell.steps) }
}

/// A stored step as a position in tenths of a percent, halves rounded up.
pub fn tenths(step: u16, steps: u16) -> u32 {
    let (step, last) = (u32::from(step), u32::from(steps.max(2)) - 1);
    (2 * step * 1000 + last) / (2 * last)
}

/// A number with at most one decimal.
fn in_tenths(out: &mut String, tenths: u32) {
    let _ = write!(out, "{}", tenths / 10);
    if !tenths.is_multiple_of(10) {
        let _ = write!(out, ".{}", tenths % 10);
    }
}

/// A state's name; a program that lies in a bank is written `BANK/PROGRAM`.
fn state_name(board: &Board, cell: &Cell, state: u16) -> String {
    let of = match cell.kind {
        CellKind::ByFoot { device, control } | CellKind::Message { device, control, .. } => Some((device, control)),
        // A momentary contact: the state it is to bring about.
        CellKind::Contact(_) => cell.users.first().copied(),
        _ => None,
    };
    let control = of.and_then(|(device, control)| board.devices.get(device)?.controls.get(control));
    let Some(state) = control.and_then(|c| c.states.get(state as usize)) else { return "?".to_owned() };
    match state.program.filter(|_| control.is_some_and(|c| c.banked())) {
        Some(program) => format!("{}/{program}", state.bank.unwrap_or(1)),
        None => state.name.clone(),
    }
}

/// Who uses a cell, by name: the pedal in a loop, the amps at an output, or `pedal.control` of every control.
pub fn owners(board: &Board, cell: &Cell) -> Vec<String> {
    let mut names: Vec<String> = match cell.kind {
        CellKind::Loop(number) => board.in_loop(number).map(|d| d.name.clone()).into_iter().collect(),
        CellKind::Output(_) => fed(board, cell).map(|d| d.name.clone()).collect(),
        _ => users(board, cell).map(|(device, control)| format!("{}.{}", device.name, control.name)).collect(),
    };
    names.sort();
    names
}

/// The devices at an output.
pub fn fed<'b>(board: &'b Board, cell: &Cell) -> impl Iterator<Item = &'b Device> {
    let output = if let CellKind::Output(number) = cell.kind { Some(number) } else { None };
    board.devices.iter().filter(move |d| output.is_some() && d.fed_by.map(|f| f.value) == output)
}

/// The controls that use a cell, with their devices.
pub fn users<'b>(board: &'b Board, cell: &Cell) -> impl Iterator<Item = (&'b Device, &'b Control)> {
    cell.users.iter().filter_map(|(device, control)| {
        let device = board.devices.get(*device)?;
        Some((device, device.controls.get(*control)?))
    })
}
