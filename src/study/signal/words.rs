//! The names of places and of missing values.

use super::path::{From, Missing, To};
use crate::book::Book;
use crate::study::route::Place;

fn device(book: &Book, index: usize) -> &str {
    book.board.devices.get(index).map_or("?", |d| &d.name)
}

fn guitar(book: &Book, index: usize) -> &str {
    book.board.guitars.get(index).map_or("guitar", |g| &g.name)
}

/// What drives: `ember`, `larch send`, `slab`.
pub fn from(book: &Book, from: From) -> String {
    match from {
        From::Guitar(g) => guitar(book, g).to_owned(),
        From::Device(d) => device(book, d).to_owned(),
        From::Send(d) => format!("{} send", device(book, d)),
        From::Buffer(_) => "buffer".to_owned(),
    }
}

/// What loads: `ember`, `larch return`, `nothing`.
pub fn to(book: &Book, to: To) -> String {
    match to {
        To::Device(d) | To::Amp(d) => device(book, d).to_owned(),
        To::Return(d) => format!("{} return", device(book, d)),
        To::Buffer(_) => "buffer".to_owned(),
        To::Open => "nothing".to_owned(),
    }
}

/// Several loads: `larch and alder`.
pub fn loads(book: &Book, all: &[To]) -> String {
    let names: Vec<String> = all.iter().map(|t| to(book, *t)).collect();
    names.join(" and ")
}

/// A place in the route: `loop 3`, `wick`, `the guitar`.
pub fn place(book: &Book, place: Place) -> String {
    match place {
        Place::Guitar(Some(g)) => guitar(book, g).to_owned(),
        Place::Guitar(None) => "the guitar".to_owned(),
        Place::Loop(n) => match book.board.in_loop(n) {
            Some(device) => format!("loop {n} ({})", device.name),
            None => format!("loop {n}"),
        },
        Place::Device(d) | Place::Amp(d) => device(book, d).to_owned(),
        Place::Send(d) => format!("{} send", device(book, d)),
        Place::Return(d) => format!("{} return", device(book, d)),
        Place::Output(n) => format!("output {n}"),
    }
}

/// A missing value: `gain of ember`.
pub fn missing(book: &Book, missing: Missing) -> String {
    let of = |what: &str, name: &str| format!("{what} of {name}");
    match missing {
        Missing::Pickup(g) => of("pickup", guitar(book, g)),
        Missing::Volume(g) => of("volume", guitar(book, g)),
        Missing::Cable(g) => of("cable", guitar(book, g)),
        Missing::Input(d) => of("input", device(book, d)),
        Missing::Output(d) => of("output", device(book, d)),
        Missing::Gain(d) => of("gain", device(book, d)),
        Missing::Send(d) => of("send", device(book, d)),
        Missing::Return(d) => of("return", device(book, d)),
        Missing::Patch => "patch leads".to_owned(),
        Missing::Loop(n) => format!("state of loop {n}"),
        Missing::Switched(n) => format!("state of output {n}"),
        Missing::Circle => "an end of the chains, which run in a circle".to_owned(),
    }
}
