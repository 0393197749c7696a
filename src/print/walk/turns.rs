//! What a change sets otherwise, as it is heard: a channel, a level, a program, and not the jack or the message that does it.

use crate::Compiled;
use crate::book::message::Cue;
use crate::book::{Device, amount};
use crate::ids::{ControlId, DeviceId};
use crate::print::words::sends;
use crate::settle::{Answer, Cell, CellKind, Row, Setting, Value};
use crate::study::walk::Change;
use crate::written::cell;

/// `larch channel to lead`, `tide depth to 40 %`. What is set where nobody hears it is no matter. Behind it what the preset sends
/// to what makes no sound, with when; of a press inside a preset what that sends.
pub(super) fn turns(compiled: &Compiled, change: &Change) -> Vec<String> {
    let scene = change.to.scene;
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let devices = &compiled.book.board.devices;
    let cut = compiled.cut_off(scene);
    let heard = |d: DeviceId| {
        let cut = cut.as_ref().is_some_and(|cut| cut.contains(&d));
        row.sounds(d) == Answer::Yes && row.fed(d) == Answer::Yes && !cut
    };
    let mut out: Vec<String> = Vec::new();
    let mut add = |says: String| {
        if !out.contains(&says) {
            out.push(says);
        }
    };
    for column in &change.set {
        let Some(cell) = compiled.table.cells.list.get(*column) else { continue };
        if let CellKind::Output(number) = cell.kind {
            let fed = devices.iter().filter(|d| d.fed_by.is_some_and(|by| by.value == number));
            fed.for_each(|d| add(format!("{} {}", d.name, if row.value(*column) == Value::On { "on" } else { "off" })));
        }
        if cell.users.is_empty() && !matches!(cell.kind, CellKind::Output(_)) {
            add(bare(compiled, cell, compiled.table.stored(scene, *column)));
        }
        for (d, c) in &cell.users {
            let Some(device) = devices.get(*d) else { continue };
            let Some(control) = device.controls.get(*c) else { continue };
            // What goes in or out, what jumps, and what a helper holds is told already.
            let told = engages(device, *c) || change.jumps.iter().any(|jump| jump.level == (*d, *c));
            if told || device.helper.is_some() || !heard(*d) {
                continue;
            }
            let what = format!("{} {}", device.name, control.name);
            match row.setting(*d, *c) {
                Some(Setting::State(state)) => {
                    let state = control.states.get(usize::from(state)).map_or("?", |s| s.name.as_str());
                    add(format!("{what} to {state}"));
                }
                Some(Setting::Step(_)) => {
                    add(format!("{what} to {}", row.amount(*d, *c).map_or("?".to_owned(), amount::show)));
                }
                // A foot has it, and that is told; or another of the users of a jack does.
                _ => {}
            }
        }
    }
    for sends in sends(compiled, scene) {
        let columns = compiled.table.cells.of_control(sends.control.0, sends.control.1);
        let changed = columns.iter().any(|column| change.set.contains(column));
        if changed || change.sent && !sends.cue.changed {
            add(sends.says(Cue { changed: false, ..sends.cue }));
        }
    }
    out
}

fn engages(device: &Device, control: ControlId) -> bool {
    device.engaged_by.is_some_and(|by| by.control == control)
}

/// A jack on which nothing hangs: `remote 1 tip closed`.
fn bare(compiled: &Compiled, cell: &Cell, value: Value) -> String {
    if let Value::Order(order) = value {
        return cell::in_order(&compiled.book.board, order);
    }
    let name = cell.name.replace('-', " ");
    let stands = match (cell.kind, value) {
        (CellKind::Contact(_), Value::On) => "closed".to_owned(),
        (CellKind::Contact(_), Value::Off) => "open".to_owned(),
        (CellKind::Contact(_), Value::Pulse) => "pulsed".to_owned(),
        _ => {
            let shown = cell::shown(&compiled.book.board, cell, value);
            let percent = matches!(cell.kind, CellKind::Port(_)) && matches!(value, Value::Step(_));
            format!("at {shown}{}", if percent { " %" } else { "" })
        }
    };
    format!("{name} {stands}")
}
