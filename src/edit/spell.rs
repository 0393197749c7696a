//! Statements as they are written.

use super::Put;
use crate::Compiled;
use crate::book::{Amount, Book, ContactValue, LevelValue, What, amount};
use crate::ids::{ControlId, DeviceId, SayingId};

/// A statement to come, as it is written: `engage tide`.
pub fn says(book: &Compiled, put: Put) -> Option<String> {
    statement(&book.book, put)
}

/// A statement that stands in the book, by its sayings; of a list its own name alone: `bypass tide`.
pub fn said(book: &Compiled, sayings: &[SayingId]) -> Option<String> {
    let saying = book.book.show.sayings.get(*sayings.first()?)?;
    Some(match list(&book.book, saying.what) {
        Some((word, _)) => format!("{word} {}", book.files.text(saying.at)),
        None => book.files.text(saying.at).to_owned(),
    })
}

/// The statement; None for what nobody can write.
pub(super) fn statement(book: &Book, put: Put) -> Option<String> {
    match list(book, put.what) {
        Some((word, target)) => Some(format!("{word} {target}")),
        None => alone(book, put),
    }
}

/// For statements that take a list: the word that opens it, and the target.
pub(super) fn list(book: &Book, what: What) -> Option<(&'static str, String)> {
    let engage = |on: bool| if on { "engage" } else { "bypass" };
    Some(match what {
        What::Loop { number, on } => {
            let name = book.board.in_loop(number).map_or_else(|| book.board.loop_says(number), |d| d.name.clone());
            (engage(on), name)
        }
        What::Engaged { device, on } => (engage(on), book.board.devices.get(device)?.name.clone()),
        What::Contact { jack, ring, value } => {
            let word = match value {
                ContactValue::Open => "open",
                ContactValue::Closed => "close",
                ContactValue::Pulse => "pulse",
            };
            (word, format!("remote {jack} {}", if ring { "ring" } else { "tip" }))
        }
        _ => return None,
    })
}

fn alone(book: &Book, Put { what, said }: Put) -> Option<String> {
    let owned = |d: DeviceId, c: ControlId| {
        let device = book.board.devices.get(d)?;
        let control = device.controls.get(c)?;
        Some((format!("{}.{}", device.name, control.name), control))
    };
    let steps = book.board.switcher.as_ref().map_or(128, |s| s.steps);
    Some(match what {
        What::Port { port, value: LevelValue::Step(step) } => {
            let ends = (Amount::percent(0), Amount::percent(100));
            let said = said.unwrap_or_else(|| amount::at_step(step, steps, ends.0, ends.1));
            format!("expression {port} at {}", amount::show(said))
        }
        What::Port { port, value } => format!("expression {port} {}", word(value)),
        What::Output { number, on } => format!("output {number} {}", if on { "on" } else { "off" }),
        What::Choice { device, control, state } => {
            let (name, control) = owned(device, control)?;
            format!("{name} {}", control.states.get(state as usize)?.name)
        }
        What::Level { device, control, value } => {
            let (name, control) = owned(device, control)?;
            let LevelValue::Step(step) = value else { return Some(format!("{name} {}", word(value))) };
            let (from, to) = control.how.level()?;
            let said = said.unwrap_or_else(|| amount::at_step(step, control.how.steps(steps), from, to));
            format!("{name} {}", amount::show(said))
        }
        What::Heard { input } => {
            let mut plugged = book.board.on_input(input).filter(|g| g.when.is_empty());
            match (plugged.next(), plugged.next()) {
                (Some(guitar), None) => format!("hear {}", guitar.name),
                _ => format!("hear input {input}"),
            }
        }
        What::Order { order } if order.wired() => "order as wired".to_owned(),
        What::Order { order } => format!("order {}", order.says(&book.board).join(", ")),
        What::Moves { device, control, travel } => {
            let (name, control) = owned(device, control)?;
            let (from, to) = control.how.level()?;
            let end = |step: u16| amount::show(amount::at_step(step, control.how.steps(steps), from, to));
            let ((heel, toe), treadle) = (travel.ends(), &book.board.treadle_on(travel.input())?.name);
            let start = travel.start().map_or(String::new(), |start| format!(" from {}", start.word()));
            format!("{treadle}{start} moves {name} from {} to {}", end(heel), end(toe))
        }
        What::Treadle { input, moves: None } => format!("{} moves nothing", book.board.treadle_on(input)?.name),
        What::Mute { .. } => "mute".to_owned(),
        What::Stays { device, control } => format!("{} stays", owned(device, control)?.0),
        _ => return None,
    })
}

fn word(value: LevelValue) -> &'static str {
    match value {
        LevelValue::FromHeel => "foot from heel",
        LevelValue::FromToe => "foot from toe",
        LevelValue::Stays => "stays",
        _ => "foot",
    }
}
