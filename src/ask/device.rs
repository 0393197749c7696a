//! Pedals, buffers and amps by the words that the book has for them.

use super::{Found, holds, words};
use crate::book::{Book, Device};
use crate::ids::DeviceId;

/// The device that some words mean, as an index: by name, by label, by the whole text behind the name, then loosely.
pub fn device(book: &Book, said: &str) -> Found<DeviceId> {
    match named(book, said) {
        Found::Nothing => loosely(book, said),
        found => found,
    }
}

/// By name, by label, by the whole text behind the name.
pub fn named(book: &Book, said: &str) -> Found<DeviceId> {
    let said = said.trim();
    let lower = said.to_lowercase();
    first(
        book,
        &[&|d| d.name == said, &|d| d.label().eq_ignore_ascii_case(said), &|d| d.name.to_lowercase() == lower, &|d| {
            d.title.as_ref().is_some_and(|t| t.to_lowercase() == lower)
        }],
    )
}

/// By single words of these, then by words of the descriptions that it is like.
pub fn loosely(book: &Book, said: &str) -> Found<DeviceId> {
    let wanted = words(said);
    let own = |d: &'_ Device| [Some(d.name.clone()), d.title.clone()].into_iter().flatten().collect::<Vec<_>>();
    let holds = |texts: &[String]| holds(&wanted, texts.iter().map(String::as_str));
    first(book, &[&|d| holds(&own(d)), &|d| holds(&[own(d), d.like.clone()].concat())])
}

/// What the first of these that holds of any device holds of.
fn first(book: &Book, ranks: &[&dyn Fn(&Device) -> bool]) -> Found<DeviceId> {
    let all = || book.board.devices.numbered();
    let mut found = ranks.iter().map(|rank| Found::of(all().filter(|(d, _)| rank(d)).map(|(_, at)| at)));
    found.find(|found| *found != Found::Nothing).unwrap_or(Found::Nothing)
}

/// `tide` (tapped tremolo): a device's name, and the words that stand for it.
pub fn called(device: &Device) -> String {
    match device.title.as_ref().or(device.like.get(1)).or(device.like.first()) {
        Some(text) => format!("`{}` ({text})", device.name),
        None => format!("`{}`", device.name),
    }
}
