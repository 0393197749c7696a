//! The scene to add where two failures look alike: a scene that stands already, with one thing turned over. Tried as data;
//! whether the book is still right with it, its compiler is asked.

use super::Use;
use crate::book::{Book, Control, How, amount};
use crate::ids::{ControlId, DeviceId};
use crate::settle::{CellKind, Table, Value};

/// What turns a use over, as statements inside a scene: other ways of the same cell.
pub fn turned(book: &Book, table: &Table, one: Use) -> Vec<String> {
    let Some(cell) = table.cells.list.get(one.cell) else { return Vec::new() };
    match (cell.kind, one.value) {
        (CellKind::Loop(number), value) => {
            let what = book.board.in_loop(number).map_or_else(|| book.board.loop_says(number), |d| d.name.clone());
            vec![format!("{} {what}", if value == Value::On { "bypass" } else { "engage" })]
        }
        _ if cell.switches => {
            let devices = cell.users.iter().filter_map(|(device, _)| book.board.devices.get(*device));
            devices.flat_map(|d| ["bypass", "engage"].map(|word| format!("{word} {}", d.name))).collect()
        }
        // It follows from the loops.
        _ if cell.calls => Vec::new(),
        (CellKind::Output(number), Value::On) => vec![format!("output {number} off")],
        (CellKind::Output(number), _) => vec![format!("output {number} on")],
        (CellKind::Guitar, _) => {
            let inputs = 1..=book.board.switcher.as_ref().map_or(0, |s| s.guitar_inputs);
            inputs.filter(|n| Value::Input(*n) != one.value).map(|n| format!("hear input {n}")).collect()
        }
        (CellKind::Order, Value::Order(order)) => {
            if order.wired() {
                Vec::new()
            } else {
                vec!["order as wired".to_owned()]
            }
        }
        (CellKind::Contact(contact), value) if cell.users.is_empty() => {
            vec![format!("{} {}", if value == Value::On { "open" } else { "close" }, contact.says())]
        }
        _ => cell.users.iter().flat_map(|user| said(book, table, *user, one)).collect(),
    }
}

/// Other states of a control, or the other end of a level's range.
fn said(book: &Book, table: &Table, (device, control): (DeviceId, ControlId), one: Use) -> Vec<String> {
    let Some(owner) = book.board.devices.get(device) else { return Vec::new() };
    let Some(of) = owner.controls.get(control) else { return Vec::new() };
    let name = format!("{}.{}", owner.name, of.name);
    if let Some((from, to)) = of.how.level() {
        return [from, to].map(|end| format!("{name} {}", amount::show(end))).to_vec();
    }
    let column = table.cells.of_control(device, control).iter().position(|c| *c == one.cell);
    let holds = |state: usize| table.cells.of_state(device, control, state as u16).get(column?).copied();
    let others = of.states.iter().enumerate().filter(|(at, _)| holds(*at) != Some(one.value));
    let pulsed = |of: &Control| matches!(of.how, How::Remote { momentary: true, .. });
    if pulsed(of) { Vec::new() } else { others.map(|(_, state)| format!("{name} {}", state.name)).collect() }
}
