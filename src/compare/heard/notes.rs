//! What hand and foot are asked for in a part.

use super::change::NoteSaid;
use crate::Compiled;
use crate::book::{Note, Part};
use crate::compare::pairing::Matched;

/// What was asked and is no more, and what is asked now and was not.
pub(super) fn differences(
    (old, was): (&Compiled, &Part),
    (new, now): (&Compiled, &Part),
    matched: &Matched,
) -> (Vec<NoteSaid>, Vec<NoteSaid>) {
    let before: Vec<Key> = was.notes.iter().map(|n| key(old, n, Some(matched))).collect();
    let after: Vec<Key> = now.notes.iter().map(|n| key(new, n, None)).collect();
    let alone = |compiled: &Compiled, part: &Part, keys: &[Key], others: &[Key]| -> Vec<NoteSaid> {
        let mine = part.notes.iter().zip(keys).filter(|(_, key)| !others.contains(key));
        mine.map(|(note, _)| said(compiled, note)).collect()
    };
    (alone(old, was, &before, &after), alone(new, now, &after, &before))
}

fn said(compiled: &Compiled, note: &Note) -> NoteSaid {
    match note {
        Note::Tap { device, value } => {
            let device = device.and_then(|d| compiled.book.board.devices.get(d)).map(|d| d.name.clone());
            NoteSaid::Tap { device, value: value.clone() }
        }
        Note::Hand(text) => NoteSaid::Hand(text.clone()),
        Note::Note(text) => NoteSaid::Reminder(text.clone()),
    }
}

/// A note by what both books share: a renamed pedal is tapped as before.
#[derive(PartialEq)]
enum Key {
    /// On a device, by a number that both books share; None for one that the new book does not have.
    Tap(Option<u32>, String),
    Other(NoteSaid),
}

/// `old` pairs the old book's devices with the new one's; None for a note of the new book.
fn key(compiled: &Compiled, note: &Note, old: Option<&Matched>) -> Key {
    match note {
        Note::Tap { device: Some(device), value } => {
            let device = *device as u32;
            Key::Tap(old.map_or(Some(device), |matched| matched.devices.new_of(device)), value.clone())
        }
        other => Key::Other(said(compiled, other)),
    }
}
