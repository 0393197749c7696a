//! What differs for hands and feet: where scenes are pressed, and what they reach.

use super::page::{Line, Section, Tone};
use super::{stated, words};
use crate::Compiled;
use crate::book::Song;
use crate::compare::Comparison;
use crate::compare::stated::{Area, Fact, Stated, Subject};
use crate::fill::Places;
use crate::ids::SongId;
use crate::study::pressed::Pressed;
use crate::syntax::kind::Kind;

/// Parts of songs that are pressed in another slot than before.
pub(super) fn pressed(comparison: &Comparison<'_>) -> Section {
    let (old, new) = (comparison.old, comparison.new);
    let (before, after) = (Pressed::of(&old.book, &old.presets), Pressed::of(&new.book, &new.presets));
    let places = Places::of(&new.book, &new.presets);
    let mut lines: Vec<(&str, String)> = Vec::new();
    for (id, song) in new.book.show.songs.pairs() {
        let was = comparison.matched.songs.old_of(id).and_then(|id| old.book.show.songs.get(id));
        let (Some(was), Some(from)) = (was, comparison.matched.songs.old_of(id)) else { continue };
        let (left, right) = (slots(old, &before, from, was), slots(new, &after, id, song));
        // Nobody presses what is called from outside.
        let called = places.called(song);
        let pressed = right.iter().enumerate().filter(|(at, _)| called.get(*at).is_none_or(Option::is_none));
        let turned = pressed.filter_map(|(at, (label, now))| {
            let same = left.get(at).filter(|(l, _)| l == label).or_else(|| left.iter().find(|(l, _)| l == label));
            let (_, was) = same.filter(|(_, was)| was != now)?;
            Some(format!("{label} {was} → {now}"))
        });
        let turned: Vec<String> = turned.collect();
        if !turned.is_empty() {
            lines.push((&song.title, format!("\"{}\": {}", song.title, turned.join(", "))));
        }
    }
    lines.sort();
    let lines = lines.into_iter().map(|(_, text)| Line::new(0, Tone::Turned, text)).collect();
    Section { title: "Pressed elsewhere".to_owned(), lead: String::new(), lines }
}

/// For each part of a song: what it is called, and the slots that the feet take, as the unit shows them.
fn slots<'c>(compiled: &Compiled, pressed: &Pressed, number: SongId, song: &'c Song) -> Vec<(&'c str, String)> {
    let shown = |part: u32| {
        let slots: Vec<String> = pressed.at((number, part)).map(|slot| words::slot(compiled, slot)).collect();
        if slots.is_empty() { "no slot".to_owned() } else { slots.join(" or ") }
    };
    (0u32..).zip(&song.parts).map(|(at, part)| (part.label.as_str(), shown(at))).collect()
}

/// Treadles, what the switches do, the safe switch and the ways out.
pub(super) fn reached(comparison: &Comparison<'_>) -> Section {
    let stated = comparison.of(Area::Hardware).chain(comparison.of(Area::Rules)).filter(|s| under_hand(s));
    let lines = stated::grouped(stated, |_| false);
    Section { title: "Under hands and feet".to_owned(), lead: String::new(), lines }
}

fn under_hand(stated: &Stated) -> bool {
    match (&stated.about, &stated.fact) {
        (Subject::Named(Kind::Treadle, _) | Subject::The(Kind::Safe) | Subject::Saying(Kind::Fallback, _), _) => true,
        (Subject::The(Kind::Switcher), Fact::Of(fact)) => {
            matches!(fact, Kind::Presses | Kind::Repress | Kind::Wakes | Kind::Banks | Kind::Display)
        }
        _ => false,
    }
}

/// Knobs that the tech turns before the show: heard, and not computed.
pub(super) fn knobs(comparison: &Comparison<'_>) -> Section {
    let told = stated::knobs(comparison.of(Area::Knobs));
    let lines = told.into_iter().map(|line| Line::new(0, Tone::Turned, line.text)).collect();
    Section { title: "Knobs turned".to_owned(), lead: String::new(), lines }
}
