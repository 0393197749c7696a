//! What hand and foot are asked for in a part.

use super::change::NoteSaid;
use crate::Compiled;
use crate::book::{Note, Part};
use crate::compare::pairing::Matched;
use crate::ids::DeviceId;

/// What was asked and is no more, and what is asked now and was not.
pub(super) fn differences(
    (old, was): (&Compiled, &Part),
    (new, now): (&Compiled, &Part),
    matched: &Matched,
) -> (Vec<NoteSaid>, Vec<NoteSaid>) {
    let (before, after) = (notes(old, was, Some(matched)), notes(new, now, None));
    let alone = |mine: &[(Key, NoteSaid)], others: &[(Key, NoteSaid)]| -> Vec<NoteSaid> {
        let mine = mine.iter().filter(|(key, _)| !others.iter().any(|(other, _)| other == key));
        mine.map(|(_, said)| said.clone()).collect()
    };
    (alone(&before, &after), alone(&after, &before))
}

/// All that a part asks, each with what both books know it by.
fn notes(compiled: &Compiled, part: &Part, old: Option<&Matched>) -> Vec<(Key, NoteSaid)> {
    let guitar = part.besides().guitar.and_then(|g| compiled.book.board.guitars.get(g.value));
    let counted = [
        guitar.map(|g| NoteSaid::On(g.name.clone())),
        part.besides().tuning.clone().map(NoteSaid::Tuning),
        part.besides().capo.map(NoteSaid::Capo),
        (part.times > 1).then_some(NoteSaid::Times(part.times)),
        part.besides().lasts.map(NoteSaid::Lasts),
        part.besides().called.map(|_| NoteSaid::Outside),
    ];
    let counted = counted.into_iter().flatten().map(|said| (Key::Other(said.clone()), said));
    // A note value that the preset gives is heard in the scene's row.
    let asked = part.besides().notes.iter().filter(|note| !matches!(note, Note::Beat { .. }));
    asked.map(|note| (key(compiled, note, old), said(compiled, note))).chain(counted).collect()
}

fn said(compiled: &Compiled, note: &Note) -> NoteSaid {
    match note {
        Note::Tap { device, value } | Note::Beat { device, value } => {
            let device = device.and_then(|d| compiled.book.board.devices.get(d)).map(|d| d.name.clone());
            NoteSaid::Tap { device, value: value.clone() }
        }
        Note::Hand(text) => NoteSaid::Hand(text.clone()),
        Note::Cue(text) => NoteSaid::Cue(text.clone()),
        Note::Note(text) => NoteSaid::Reminder(text.clone()),
    }
}

/// A note by what both books share: a renamed pedal is tapped as before.
#[derive(PartialEq)]
enum Key {
    /// On a device, by a number that both books share; None for one that the new book does not have.
    Tap(Option<DeviceId>, String),
    Other(NoteSaid),
}

/// `old` pairs the old book's devices with the new one's; None for a note of the new book.
fn key(compiled: &Compiled, note: &Note, old: Option<&Matched>) -> Key {
    match note {
        Note::Tap { device: Some(device), value } => {
            let device = *device;
            Key::Tap(old.map_or(Some(device), |matched| matched.devices.new_of(device)), value.clone())
        }
        other => Key::Other(said(compiled, other)),
    }
}
