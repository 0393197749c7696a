//! What somebody sees in a cell of the unit, in people's words: `in` and `1`, `closed`, `33 %`, `step 42`, a state or its program.

use crate::book::{Board, Control, How, State, Travel};
use crate::settle::{Cell, CellKind, Value};
use crate::syntax::decimal;
use crate::written::cell::{self, shown_tenths, tempo_step};

/// Reads what stands in a cell of a table. Where several steps are written alike, `expected` is meant, if it is one of them.
/// `Unknown` is a program in a bank that the board has no state for; None is no value of such a cell.
pub fn read(board: &Board, cell: &Cell, text: &str, expected: Value) -> Option<Value> {
    let text = text.trim();
    let word = text.to_lowercase();
    match (cell.kind, word.as_str()) {
        (CellKind::Loop(_), "1" | "in" | "engaged" | "on") => Some(Value::On),
        (CellKind::Loop(_), "0" | "out" | "bypassed" | "off") => Some(Value::Off),
        (CellKind::Contact(_), "1" | "closed" | "on") => Some(Value::On),
        (CellKind::Contact(_), "0" | "open" | "off") => Some(Value::Off),
        (CellKind::Contact(_), "pulse") => Some(Value::Pulse),
        (CellKind::Output(_), "1" | "on") => Some(Value::On),
        (CellKind::Output(_), "0" | "off") => Some(Value::Off),
        (CellKind::Guitar, number) => number.parse().ok().filter(|n| *n > 0).map(Value::Input),
        (CellKind::Order, word) => cell::read(board, cell, word),
        (CellKind::Taps { .. } | CellKind::Clock, word) if word != "stays" => {
            read_tempo(cell, word, expected).map(Value::Step)
        }
        (
            CellKind::Contact(_)
            | CellKind::Taps { .. }
            | CellKind::Clock
            | CellKind::Port(_)
            | CellKind::Message { .. },
            "stays",
        ) => Some(Value::Stays),
        (CellKind::Port(_) | CellKind::Message { .. }, "foot") if cell.steps > 0 => Some(Value::Foot),
        (CellKind::Port(_) | CellKind::Message { .. }, word) if cell.steps > 0 && word.starts_with("foot ") => {
            let (input, heel, toe) = cell::moved(word)?;
            let meant = if let Value::Moved(travel) = expected { Some(travel.ends()) } else { None };
            let end = |text: &str, meant: Option<u16>| {
                read_level(text, cell.steps, meant.map_or(Value::Unknown, Value::Step))
            };
            let (heel, toe) = (end(heel, meant.map(|m| m.0))?, end(toe, meant.map(|m| m.1))?);
            Some(Value::Moved(Travel::new(input, None, heel, toe)))
        }
        (CellKind::Trim(_), word) => match word.strip_prefix("step ") {
            Some(step) => step.trim().parse().ok().filter(|step| *step < cell.steps).map(Value::Step),
            None => cell::read(board, cell, word).filter(|value| matches!(value, Value::Step(_))),
        },
        (CellKind::Port(_) | CellKind::Message { .. }, word) if cell.steps > 0 => {
            read_level(word, cell.steps, expected).map(Value::Step)
        }
        (CellKind::Message { device, control, .. }, _) => {
            let control = board.devices.get(device)?.controls.get(control)?;
            read_program(control, text)
        }
        _ => None,
    }
}

/// A tempo: the step that is expected, where that is written so, else the nearest.
fn read_tempo(cell: &Cell, word: &str, expected: Value) -> Option<u16> {
    let read = tempo_step(word)?;
    match expected {
        Value::Step(step) if shown_tenths(cell, step) == shown_tenths(cell, read) => Some(step),
        _ => Some(read),
    }
}

/// A step of so many: `step 42`, or a position in %. One that no step is written as is the step that is expected, where
/// that is so far as the digits go, else the nearest.
fn read_level(word: &str, steps: u16, expected: Value) -> Option<u16> {
    let last = u128::from(steps.max(2)) - 1;
    if let Some(step) = word.strip_prefix("step ") {
        return step.trim().parse().ok().filter(|step| u128::from(*step) <= last);
    }
    let (mantissa, ten) = decimal::read(word.strip_suffix('%').unwrap_or(word).trim_end())?;
    let (mantissa, places) = (u128::try_from(mantissa).ok()?, u32::try_from(-ten).ok()?);
    let one = 10u128.checked_pow(places)?;
    if mantissa > 100 * one {
        return None;
    }
    let expected = if let Value::Step(step) = expected { Some(step) } else { None };
    // A step's place with so many digits, halves rounded up.
    let place = |step: u16, one: u128| (2 * u128::from(step) * 100 * one + last) / (2 * last);
    let written = |step: &u16| places <= 1 && place(*step, 10) * one == mantissa * 10;
    let near = u16::try_from((mantissa * last * 2 + 100 * one) / (200 * one)).ok()?;
    // Of steps that are written alike any two are nearer to each other than a tenth of a percent.
    let around = 0..=steps / 500 + 1;
    let alike = || around.clone().flat_map(|by| [near.saturating_sub(by), near.saturating_add(by)]).find(written);
    match expected {
        Some(step) if written(&step) => Some(step),
        Some(step) if alike().is_none() && place(step, one) == mantissa => Some(step),
        _ => alike().or(Some(near)),
    }
}

/// A program by its number, with its bank before it where there are banks, or by the name of its state.
fn read_program(control: &Control, text: &str) -> Option<Value> {
    let found = control.states.iter().position(|s| s.name == text);
    if matches!(control.how, How::Messages { .. }) {
        return found.map(|state| Value::State(state as u16));
    }
    if !control.banked() {
        let named = || control.states.get(found?)?.program;
        return text.parse().ok().or_else(named).map(Value::Program);
    }
    let place = |bank: u16, program: u16| {
        let same = |s: &State| s.bank.unwrap_or(1) == bank && s.program == Some(program);
        control.states.iter().position(same)
    };
    if let Some(state) = found {
        return Some(Value::State(state as u16));
    }
    let (bank, program) = text.split_once('/').unwrap_or(("1", text));
    let known = place(bank.parse().ok()?, program.parse().ok()?);
    Some(known.map_or(Value::Unknown, |state| Value::State(state as u16)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::written::cell::tenths;

    /// Every step of ports with few and many steps, as it is written and as whole percents: against fractions, one by one.
    #[test]
    fn steps_are_read_as_they_are_written() {
        for steps in [2u16, 5, 16, 100, 128, 256, 1000, 1024, 4096, 16384] {
            let last = u32::from(steps) - 1;
            for step in (0..steps).step_by(usize::from(steps / 300 + 1)) {
                let of = tenths(step, steps);
                let text = format!("{}.{}", of / 10, of % 10).trim_end_matches(".0").to_owned();
                assert_eq!(read_level(&text, steps, Value::Step(step)), Some(step), "{text} of {steps}");
                let other = read_level(&text, steps, Value::Off).unwrap();
                assert_eq!(tenths(other, steps), tenths(step, steps), "{text} of {steps}");
                assert_eq!(read_level(&format!("step {step}"), steps, Value::Off), Some(step));
                // A wrong step that is written otherwise is never taken for the one that is expected.
                for wrong in [step.saturating_sub(1), (step + 1).min(last as u16), step / 2] {
                    let found = read_level(&text, steps, Value::Step(wrong)).unwrap();
                    assert_eq!(
                        found == wrong,
                        tenths(wrong, steps) == tenths(step, steps),
                        "{text} {wrong} of {steps}"
                    );
                }
            }
        }
        let whole = |text, expected| read_level(text, 128, Value::Step(expected));
        assert_eq!(
            (whole("33", 42), whole("33 %", 9), whole("39", 49), whole("39", 50)),
            (Some(42), Some(42), Some(49), Some(50))
        );
        assert_eq!(
            (whole("100", 0), whole("100.1", 0), whole("-1", 0), whole("x", 0), whole("step 128", 0)),
            (Some(127), None, None, None, None)
        );
        assert_eq!((whole("33.0708661417323", 42), whole("33,1", 0)), (Some(42), Some(42)));
    }
}
