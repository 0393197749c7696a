//! Sayings in a musician's words.

use super::{Book, ContactValue, LevelValue, Saying, What};
use crate::source::Files;

/// What a saying wants, as in "`solo` wants …": "`drive` on", "`combo` on `lead`", "the foot on `throb` depth".
pub fn saying(book: &Book, files: &Files, saying: &Saying) -> String {
    let device = |d: u16| book.devices.get(d as usize).map_or("?", |d| d.name.as_str());
    let control = |d: u16, c: u16| {
        let found = book.devices.get(d as usize).and_then(|d| d.controls.get(c as usize));
        found.map_or("?", |c| c.name.as_str())
    };
    match saying.what {
        What::Loop { number, on } => {
            let what = book.in_loop(number).map_or(format!("loop {number}"), |d| format!("`{}`", d.name));
            format!("{what} {}", if on { "engaged" } else { "bypassed" })
        }
        What::AlwaysOn { device: d } => format!("`{}` engaged", device(d)),
        What::Contact { jack, ring, value } => {
            let value = match value {
                ContactValue::Open => "open",
                ContactValue::Closed => "closed",
                ContactValue::Pulse => "to pulse",
            };
            format!("remote {jack} {} {value}", if ring { "ring" } else { "tip" })
        }
        What::Port { port, value } => format!("expression {port} {}", level(value, files.text(saying.at))),
        What::Output { number, on } => format!("output {number} {}", if on { "on" } else { "off" }),
        What::Mute => "every output off".to_owned(),
        What::Choice { device: d, control: c, state } => {
            let found = book.devices.get(d as usize).and_then(|d| d.controls.get(c as usize));
            let state = found.and_then(|c| c.states.get(state as usize)).map_or("?", |s| s.name.as_str());
            format!("`{}` {} `{state}`", device(d), control(d, c))
        }
        What::Level { device: d, control: c, value } => {
            format!("`{}` {} {}", device(d), control(d, c), level(value, files.text(saying.at)))
        }
        What::Stays { device: d, control: c } => format!("`{}` {} left as it is", device(d), control(d, c)),
    }
}

/// A level in words; a stored step is told as it was written.
fn level(value: LevelValue, written: &str) -> String {
    match value {
        LevelValue::Step(_) => format!("at {}", amount_of(written)),
        LevelValue::Foot => "under the foot".to_owned(),
        LevelValue::FromHeel => "under the foot from the heel".to_owned(),
        LevelValue::FromToe => "under the foot from the toe".to_owned(),
        LevelValue::Stays => "left as it is".to_owned(),
    }
}

/// The amount at the end of a statement: `20 %` of `throb.depth 20 %`.
pub fn amount_of(statement: &str) -> &str {
    let digit = |c: char| c.is_ascii_digit();
    let head = statement.rfind(digit).and_then(|last| statement.get(..=last)).unwrap_or("");
    let from = head.rfind(|c: char| !(digit(c) || matches!(c, '.' | ',' | '-'))).map_or(0, |i| i + 1);
    statement.get(from..).unwrap_or(statement).trim()
}
