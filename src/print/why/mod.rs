//! Why a scene sounds as it does: in sentences for who plays, in cells and values for who wires.

mod cells;
mod says;
mod speaker;
mod switch;
mod treadle;

pub use cells::cells;
pub use says::{Asked, says};

use std::collections::BTreeSet;

use crate::Compiled;
use crate::ask::Spot;
use crate::book::song::title_key;
use crate::book::{Part, Slot};
use crate::study::pressed::Pressed;

/// So many slots of a scene, and scenes that a statement would also change, are named.
const FEW: usize = 4;

/// The slots in which it is pressed, as the unit shows them: a part's in its song, and all of a scene's.
fn slots(compiled: &Compiled, spot: &Spot) -> Option<String> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots)?;
    let songs = &compiled.book.show.songs;
    let parts = spot.part.and_then(|(song, part)| Some((song, &songs.get(song)?.parts, part as usize)));
    let slots: BTreeSet<Slot> = match parts {
        Some((song, parts, at)) => {
            let pressed = Pressed::of(&compiled.book, &compiled.presets);
            // Parts of one name that play one scene are asked after together.
            let same = |part: &Part| {
                parts.get(at).is_some_and(|p| p.scene == part.scene && title_key(&p.label) == title_key(&part.label))
            };
            let same = (0u32..).zip(parts).filter(|(_, part)| same(part));
            same.flat_map(|(part, _)| pressed.at((song, part))).collect()
        }
        None => {
            let show = &compiled.book.show;
            let (base, pressed) = (show.base(spot.scene), show.pressed(spot.scene));
            let stored = compiled.presets.iter().filter(|p| p.scene == base).filter_map(|p| p.slot);
            stored.map(|slot| Slot { pressed, ..slot }).collect()
        }
    };
    let mut slots: Vec<String> = slots.into_iter().map(|slot| range.show(slot)).collect();
    let more = slots.len().saturating_sub(FEW);
    if more > 0 {
        slots.truncate(FEW);
        slots.push(format!("{more} more"));
    }
    (!slots.is_empty()).then(|| and(&slots))
}

/// `a`, `b` and `c`.
fn and(list: &[String]) -> String {
    match list {
        [before @ .., last] if !before.is_empty() => format!("{} and {last}", before.join(", ")),
        _ => list.concat(),
    }
}

/// Where the question points, to begin a sentence with: In the bridge of "Slow Quay" (1.4 `swell`).
fn place(compiled: &Compiled, spot: &Spot) -> String {
    let show = &compiled.book.show;
    let name = show.scene(show.base(spot.scene)).map_or("?", |s| &s.name);
    let slot = slots(compiled, spot);
    let song = spot.part.and_then(|(s, _)| show.songs.get(s));
    let part = song.zip(spot.part).and_then(|(song, (_, p))| song.parts.get(p as usize));
    match (song, part) {
        (Some(song), Some(part)) => {
            let slot = slot.map_or(String::new(), |slot| format!("{slot} "));
            format!("In the {} of \"{}\" ({slot}`{name}`)", part.label, song.title)
        }
        _ => format!("In `{name}`{}", slot.map_or(String::new(), |slot| format!(" ({slot})"))),
    }
}
