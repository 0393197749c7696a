//! The names of places and of missing values.

use super::path::{From, Missing, To};
use crate::book::Board;
use crate::ids::DeviceId;
use crate::study::route::{Place, leg_of};

fn device(board: &Board, index: DeviceId) -> &str {
    board.devices.get(index).map_or("?", |d| &d.name)
}

fn guitar(board: &Board, index: usize) -> &str {
    board.guitars.get(index).map_or("guitar", |g| &g.name)
}

/// What drives: `ember`, `larch send`, `slab`.
pub fn from(board: &Board, from: From) -> String {
    match from {
        From::Guitar(g) => guitar(board, g).to_owned(),
        From::Device(d) => device(board, d).to_owned(),
        From::Send(d) => format!("{} send", device(board, d)),
        From::LegSend(d, leg) => format!("{} {} send", device(board, d), leg_of(board, d, leg)),
        From::Buffer(_) => "buffer".to_owned(),
    }
}

/// What loads: `ember`, `larch return`, `nothing`.
pub fn to(board: &Board, to: To) -> String {
    match to {
        To::Device(d) | To::Amp(d) | To::Tuner(d) => device(board, d).to_owned(),
        To::Return(d) => format!("{} return", device(board, d)),
        To::Leg(d, leg) => format!("{} {} return", device(board, d), leg_of(board, d, leg)),
        To::Key(d) => format!("{} key", device(board, d)),
        To::Buffer(_) => "buffer".to_owned(),
        To::Open => "nothing".to_owned(),
    }
}

/// Several loads: `larch and alder`.
pub fn loads(board: &Board, all: &[To]) -> String {
    let names: Vec<String> = all.iter().map(|t| to(board, *t)).collect();
    names.join(" and ")
}

/// A place in the route: `loop 3`, `wick`, `the guitar`.
pub fn place(board: &Board, place: Place) -> String {
    match place {
        Place::Guitar(Some(g)) => guitar(board, g).to_owned(),
        Place::Guitar(None) => "the guitar".to_owned(),
        Place::Loop(n) => match board.in_loop(n) {
            Some(device) => format!("{} ({})", board.loop_says(n), device.name),
            None => board.loop_says(n),
        },
        Place::Device(d) | Place::Amp(d) => device(board, d).to_owned(),
        Place::Send(d) => format!("{} send", device(board, d)),
        Place::Return(d) => format!("{} return", device(board, d)),
        Place::LegSend(d, leg) => format!("{} {} send", device(board, d), leg_of(board, d, leg)),
        Place::LegReturn(d, leg) => format!("{} {} return", device(board, d), leg_of(board, d, leg)),
        Place::Key(d) => format!("{} key", device(board, d)),
        Place::Output(n) => format!("output {n}"),
    }
}

/// A missing value: `gain of ember`.
pub fn missing(board: &Board, missing: Missing) -> String {
    let of = |what: &str, name: &str| format!("{what} of {name}");
    match missing {
        Missing::Pickup(g) => of("pickup", guitar(board, g)),
        Missing::Volume(g) => of("volume", guitar(board, g)),
        Missing::Cable(g) => of("cable", guitar(board, g)),
        Missing::Input(d) => of("input", device(board, d)),
        Missing::Output(d) => of("output", device(board, d)),
        Missing::Gain(d) => of("gain", device(board, d)),
        Missing::Send(d) => of("send", device(board, d)),
        Missing::Return(d) => of("return", device(board, d)),
        Missing::Key(d) => of("key input", device(board, d)),
        Missing::Moved(d, leg) => {
            of(&format!("level of leg {}, which the preset does not set,", leg_of(board, d, leg)), device(board, d))
        }
        Missing::Leg(d, leg) => of(&format!("level in dB of leg {}", leg_of(board, d, leg)), device(board, d)),
        Missing::Patch => "patch leads".to_owned(),
        Missing::Loop(n) => format!("state of {}", board.loop_says(n)),
        Missing::Engaged(d) => format!("whether {} is engaged", device(board, d)),
        Missing::Switched(n) => format!("state of output {n}"),
        Missing::Circle => "an end of the chains, which run in a circle".to_owned(),
    }
}
