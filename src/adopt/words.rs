//! What stands in a cell of a table, read as what a preset stores.

use super::heads::Target;
use crate::book::{Amount, Board, amount};
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::near;
use crate::settle::{CellKind, Cells, Value};
use crate::written::cell;

/// What a text says.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum Says {
    /// Values, each with its cell.
    Stores(Vec<(ColumnId, Value)>),
    /// It does not matter, or nothing stands there.
    Nothing,
    /// Nothing stands there, where other rows say no.
    Blank,
    /// It is not understood; what could stand there.
    Unclear(String),
}

const ON: [&str; 15] = ["1", "x", "yes", "y", "on", "in", "engaged", "true", "ja", "oui", "✓", "✔", "☑", "●", "•"];
const OFF: [&str; 10] = ["0", "no", "n", "off", "out", "bypassed", "false", "nein", "non", "✗"];

/// True for a text that says nothing, or that it does not matter.
pub(super) fn says_nothing(text: &str) -> bool {
    matches!(text, "" | "-" | "–" | "—")
}

/// True for a column in which a cell is marked or not.
pub(super) fn marks(target: Target, cells: &Cells) -> bool {
    match target {
        Target::Device(_) => true,
        Target::Cell(at) => matches!(
            cells.list.get(at).map(|c| c.kind),
            Some(CellKind::Loop(_) | CellKind::Contact(_) | CellKind::Output(_))
        ),
        _ => false,
    }
}

/// True for a number of a level that may stand for a share of the way: 0.5 for 50 %, or for itself.
pub(super) fn share(text: &str, target: Target, board: &Board, cells: &Cells) -> bool {
    let level = match target {
        Target::Cell(at) => cells.list.get(at).is_some_and(|cell| cell.steps > 0),
        Target::Control(device, control) => {
            let control = board.devices.get(device).and_then(|d| d.controls.get(control));
            control.is_some_and(|control| control.how.level().is_some())
        }
        _ => false,
    };
    level && text.parse::<f64>().is_ok_and(|number| number > 0.0 && number <= 1.0)
}

/// True for a text that says off.
pub(super) fn says_off(text: &str) -> bool {
    let text = text.to_lowercase();
    OFF.contains(&text.as_str()) || text == "open"
}

/// What a column that is marked or not holds where it is not.
pub(super) fn unmarked(target: Target, board: &Board, cells: &Cells) -> Says {
    read("0", target, board, cells)
}

/// Reads one text.
pub(super) fn read(text: &str, target: Target, board: &Board, cells: &Cells) -> Says {
    if says_nothing(text) {
        return Says::Nothing;
    }
    // Which treadle that is, and what else it moves there, is said in one statement of the book.
    if cell::moved(&text.to_lowercase()).is_some() {
        return Says::Unclear(
            "a value, foot, stays; what a treadle moves is said in the book, as `TREADLE moves PEDAL.LEVEL`".to_owned(),
        );
    }
    match target {
        Target::Cell(at) => of_cell(text, at, board, cells),
        Target::Device(device) => of_device(text, device, board, cells),
        Target::Control(device, control) => of_control(text, (device, control), board, cells),
        _ => Says::Nothing,
    }
}

fn on_off(text: &str) -> Option<bool> {
    let text = text.to_lowercase();
    let (on, off) = (ON.contains(&text.as_str()), OFF.contains(&text.as_str()));
    (on || off).then_some(on)
}

fn of_cell(text: &str, at: ColumnId, board: &Board, cells: &Cells) -> Says {
    let Some(cell) = cells.list.get(at) else { return Says::Nothing };
    let stores = |value: Value| Says::Stores(vec![(at, value)]);
    let word = text.to_lowercase();
    match (cell.kind, word.as_str()) {
        (CellKind::Loop(_) | CellKind::Output(_), _) => match on_off(text) {
            Some(on) => stores(Value::of(on)),
            None => Says::Unclear("1 or 0, x or nothing, yes or no".to_owned()),
        },
        (_, "stays") => stores(Value::Stays),
        (CellKind::Contact(_), "closed") => stores(Value::On),
        (CellKind::Contact(_), "open") => stores(Value::Off),
        (CellKind::Contact(_), "pulse") => stores(Value::Pulse),
        (CellKind::Contact(_), _) => match on_off(text) {
            Some(on) => stores(Value::of(on)),
            None => Says::Unclear("closed or open, 1 or 0, pulse, stays".to_owned()),
        },
        (CellKind::Port(_), "foot") => stores(Value::Foot),
        (CellKind::Trim(_), _) => match cell::read(board, cell, text) {
            Some(value @ Value::Step(_)) => stores(value),
            _ => Says::Unclear("a trim in dB".to_owned()),
        },
        (CellKind::Port(_), _) => match position(text, cell.steps) {
            Some(step) => stores(Value::Step(step)),
            None => Says::Unclear("a position from 0 to 100 %, foot, stays".to_owned()),
        },
        (CellKind::Taps { .. } | CellKind::Clock, _) => match cell::tempo_step(text) {
            Some(step) => stores(Value::Step(step)),
            None => Says::Unclear("a tempo in bpm, stays".to_owned()),
        },
        (CellKind::Guitar, _) => match cell::read(board, cell, text) {
            Some(value @ Value::Input(_)) => stores(value),
            _ => Says::Unclear("the number of a guitar input".to_owned()),
        },
        (CellKind::Order, _) => match cell::read(board, cell, text) {
            Some(value) => stores(value),
            None => Says::Unclear("the loops that change places, as `3-1`, or `wired`".to_owned()),
        },
        (CellKind::Message { device, control, .. } | CellKind::ByFoot { device, control }, _) => {
            shown(text, at, (device, control), board, cells)
        }
    }
}

/// A position in percent of the way.
fn position(text: &str, steps: u16) -> Option<u16> {
    let number = text.strip_suffix('%').unwrap_or(text).trim();
    let amount = Amount::read(&format!("{} %", point(number)?))?;
    amount.step(Amount::percent(0), Amount::percent(100), steps)
}

/// A number with a decimal point, whatever it was written with.
fn point(number: &str) -> Option<String> {
    let signs = number.matches([',', '.']).count();
    let digits = number.chars().all(|c| c.is_ascii_digit() || matches!(c, ',' | '.'));
    (digits && signs <= 1 && number.starts_with(|c: char| c.is_ascii_digit())).then(|| number.replace(',', "."))
}

/// What tables print of a control's states and levels, the other way round; or a state by its name.
fn shown(text: &str, at: ColumnId, (device, control): (DeviceId, ControlId), board: &Board, cells: &Cells) -> Says {
    let Some(column) = cells.list.get(at) else { return Says::Nothing };
    let mut found = String::new();
    for state in cells.states(device, control) {
        let Some(value) = state.first() else { continue };
        found.clear();
        cell::write(&mut found, board, column, *value);
        if found == text {
            return Says::Stores(vec![(at, *value)]);
        }
    }
    if column.steps > 0
        && let Some(step) = position(text, column.steps)
    {
        return Says::Stores(vec![(at, Value::Step(step))]);
    }
    of_control(text, (device, control), board, cells)
}

fn of_device(text: &str, device: DeviceId, board: &Board, cells: &Cells) -> Says {
    let Some(on) = on_off(text) else { return Says::Unclear("1 or 0, x or nothing, yes or no".to_owned()) };
    let Some(found) = board.devices.get(device) else { return Says::Nothing };
    if let Some(at) = found.loop_at.and_then(|l| cells.loop_cell(l.value)) {
        return Says::Stores(vec![(at, Value::of(on))]);
    }
    let Some(by) = found.engaged_by else { return Says::Nothing };
    in_state(device, by.control, if on { by.engaged } else { by.bypassed }, cells)
}

fn of_control(text: &str, (d, c): (DeviceId, ControlId), board: &Board, cells: &Cells) -> Says {
    let control = board.devices.get(d).and_then(|device| device.controls.get(c));
    let Some(control) = control else { return Says::Nothing };
    let columns = cells.of_control(d, c);
    let word = text.to_lowercase();
    let all = |value: Value| Says::Stores(columns.iter().map(|at| (*at, value)).collect());
    if word == "stays" {
        return all(Value::Stays);
    }
    let Some((from, to)) = control.how.level() else {
        let named = control.states.iter().position(|s| s.name.to_lowercase() == word);
        return named.map_or_else(|| unclear(&word, control), |state| in_state(d, c, state as u16, cells));
    };
    if word == "foot" {
        return all(Value::Foot);
    }
    let range = || Says::Unclear(format!("{} to {}, foot, stays", amount::show(from), amount::show(to)));
    let split = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ','))).unwrap_or(text.len());
    let (number, unit) = text.split_at(split);
    let unit = if unit.trim().is_empty() {
        amount::show(to).split(' ').nth(1).unwrap_or("").to_owned()
    } else {
        unit.trim().to_owned()
    };
    let read = point(number).and_then(|number| Amount::read(&format!("{number} {unit}")));
    let steps = columns.first().and_then(|at| cells.list.get(*at)).map_or(0, |cell| cell.steps);
    let step = read.filter(|a| a.dimension == from.dimension).and_then(|a| a.step(from, to, steps));
    step.map_or_else(range, |step| all(Value::Step(step)))
}

fn in_state(device: DeviceId, control: ControlId, state: u16, cells: &Cells) -> Says {
    let columns = cells.of_control(device, control).iter().copied();
    let values = cells.states(device, control).get(state as usize).into_iter().flatten().copied();
    Says::Stores(columns.zip(values).collect())
}

fn unclear(word: &str, control: &crate::book::Control) -> Says {
    let names = || control.states.iter().map(|s| s.name.as_str());
    let all: Vec<&str> = names().take(6).collect();
    let meant = near::nearest(word, names()).map(|near| format!("; did you mean {near}?")).unwrap_or_default();
    Says::Unclear(format!("{}, stays{meant}", all.join(", ")))
}
