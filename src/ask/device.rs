//! Pedals, buffers and amps by the words that the book has for them.

use super::{Found, holds, words};
use crate::book::{Book, Device};

/// The devices that some words mean, as indexes: by name, by label, by the text behind the name, then by single words of
/// these, last by words of the descriptions that they are like.
pub fn device(book: &Book, said: &str) -> Found<u16> {
    let (said, wanted) = (said.trim(), words(said));
    let lower = said.to_lowercase();
    let own = |d: &Device| holds(&wanted, [Some(d.name.as_str()), d.title.as_deref()].into_iter().flatten());
    let like = |d: &Device| {
        holds(
            &wanted,
            [Some(d.name.as_str()), d.title.as_deref()].into_iter().flatten().chain(d.like.iter().map(String::as_str)),
        )
    };
    let ranks: [&dyn Fn(&Device) -> bool; 6] = [
        &|d| d.name == said,
        &|d| d.label().eq_ignore_ascii_case(said),
        &|d| d.name.to_lowercase() == lower,
        &|d| d.title.as_ref().is_some_and(|t| t.to_lowercase() == lower),
        &own,
        &like,
    ];
    let all = || book.board.devices.iter().zip(0u16..);
    let found = ranks.iter().map(|rank| Found::of(all().filter(|(d, _)| rank(d)).map(|(_, at)| at)));
    found.into_iter().find(|found| *found != Found::Nothing).unwrap_or(Found::Nothing)
}

/// `tide` (tapped tremolo): a device's name, and the words that stand for it.
pub fn called(device: &Device) -> String {
    match device.title.as_ref().or(device.like.get(1)).or(device.like.first()) {
        Some(text) => format!("`{}` ({text})", device.name),
        None => format!("`{}`", device.name),
    }
}
