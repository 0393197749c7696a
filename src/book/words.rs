//! Sayings in a musician's words.

use super::{Amount, Book, ContactValue, LevelValue, What, amount};
use crate::ids::{ControlId, DeviceId, SayingId};

/// What a saying wants, as in "`solo` wants …": "`drive` engaged", "`combo` channel on `lead`".
pub fn saying(book: &Book, saying: SayingId) -> String {
    let Some(said) = book.show.sayings.get(saying) else { return String::new() };
    format!("{} {}", thing(book, said.what), wanted(book, saying))
}

/// How a saying wants it, without what: "engaged", "on `lead`", "at 20 %".
pub fn wanted(book: &Book, saying: SayingId) -> String {
    let Some(said) = book.show.sayings.get(saying) else { return String::new() };
    if let What::Moves { travel, .. } = said.what {
        let (heel, toe) =
            book.show.way(saying).map_or_else(Default::default, |(a, b)| (amount::show(a), amount::show(b)));
        let start = travel.start().map_or(String::new(), |end| format!(", the {} first", end.word()));
        return format!("moved by `{}` from {heel} to {toe}{start}", book.board.treadle_name(travel.input()));
    }
    wish(book, said.what, book.show.amount(saying))
}

/// Two wishes that clash, the second told shortly when both speak of one thing: "`combo` channel on `lead`" and
/// "it on `clean`".
pub fn pair(book: &Book, first: SayingId, second: SayingId) -> (String, String) {
    let what = |saying: SayingId| book.show.sayings.get(saying).map(|s| s.what);
    let (Some(one), Some(two)) = (what(first), what(second)) else { return Default::default() };
    let same = thing(book, one) == thing(book, two);
    let short = if same { format!("it {}", wanted(book, second)) } else { saying(book, second) };
    (saying(book, first), short)
}

/// What a saying speaks of: "`drive`", "`combo` channel", "remote 1 tip".
fn thing(book: &Book, what: What) -> String {
    let device = |d: DeviceId| book.board.devices.get(d).map_or("?", |d| d.name.as_str());
    let control = |d: DeviceId, c: ControlId| {
        let found = book.board.devices.get(d).and_then(|d| d.controls.get(c));
        format!("`{}` {}", device(d), found.map_or("?", |c| c.name.as_str()))
    };
    match what {
        What::Loop { number, .. } => {
            book.board.in_loop(number).map_or_else(|| book.board.loop_says(number), |d| format!("`{}`", d.name))
        }
        What::AlwaysOn { device: d } | What::Engaged { device: d, .. } => format!("`{}`", device(d)),
        What::Contact { jack, ring, .. } => format!("remote {jack} {}", if ring { "ring" } else { "tip" }),
        What::Port { port, .. } => format!("expression {port}"),
        What::Output { number, .. } => format!("output {number}"),
        What::Mute { output } => format!("output {output}"),
        What::Heard { .. } => "the guitar".to_owned(),
        What::Order { .. } => "the order of the loops".to_owned(),
        What::Choice { device: d, control: c, .. }
        | What::Level { device: d, control: c, .. }
        | What::Stays { device: d, control: c }
        | What::Moves { device: d, control: c, .. } => control(d, c),
        What::Treadle { input, .. } => format!("`{}`", book.board.treadle_name(input)),
    }
}

/// How a saying wants it: "engaged", "on `lead`", "at 20 %".
fn wish(book: &Book, what: What, said: Option<Amount>) -> String {
    match what {
        What::Loop { on, .. } | What::Engaged { on, .. } => if on { "engaged" } else { "bypassed" }.to_owned(),
        What::AlwaysOn { .. } => "engaged".to_owned(),
        What::Contact { value, .. } => match value {
            ContactValue::Open => "open",
            ContactValue::Closed => "closed",
            ContactValue::Pulse => "to pulse",
        }
        .to_owned(),
        What::Port { value, .. } | What::Level { value, .. } => level(value, said),
        What::Output { on, .. } => if on { "on" } else { "off" }.to_owned(),
        What::Mute { .. } => "off".to_owned(),
        What::Order { order } if order.wired() => "as wired".to_owned(),
        What::Order { order } => order.says(&book.board).join(", "),
        What::Heard { input } => format!("from `{}`", book.board.plugged(input)),
        What::Choice { device: d, control: c, state } => {
            let found = book.board.devices.get(d).and_then(|d| d.controls.get(c));
            let state = found.and_then(|c| c.states.get(state as usize)).map_or("?", |s| s.name.as_str());
            format!("on `{state}`")
        }
        What::Stays { .. } => "left as it is".to_owned(),
        What::Moves { .. } => "moved".to_owned(),
        What::Treadle { moves, .. } => {
            if moves.is_some() { "to move what is out" } else { "to move nothing" }.to_owned()
        }
    }
}

/// A level in words; a stored step is told as it was said.
fn level(value: LevelValue, said: Option<Amount>) -> String {
    match value {
        LevelValue::Step(_) => format!("at {}", said.map_or(String::new(), amount::show)),
        LevelValue::Foot => "under the foot".to_owned(),
        LevelValue::FromHeel => "under the foot from the heel".to_owned(),
        LevelValue::FromToe => "under the foot from the toe".to_owned(),
        LevelValue::Stays => "left as it is".to_owned(),
    }
}
