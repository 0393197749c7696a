//! Why a scene sounds as it does: in sentences for who plays, in cells and values for who wires.

mod cells;
mod says;
mod speaker;

pub use cells::cells;
pub use says::{Asked, says};

use crate::Compiled;
use crate::ask::Spot;

/// Where the question points, to begin a sentence with: In the bridge of "Slow Quay" (1.4 `swell`).
fn place(compiled: &Compiled, spot: &Spot) -> String {
    let show = &compiled.book.show;
    let name = show.scene(spot.scene).map_or("?", |s| &s.name);
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let slot = compiled.presets.iter().find(|p| p.scene == spot.scene).and_then(|p| Some(range?.show(p.slot?)));
    let song = spot.part.and_then(|(s, _)| show.songs.get(s as usize));
    let part = song.zip(spot.part).and_then(|(song, (_, p))| song.parts.get(p as usize));
    match (song, part) {
        (Some(song), Some(part)) => {
            let slot = slot.map_or(String::new(), |slot| format!("{slot} "));
            format!("In the {} of \"{}\" ({slot}`{name}`)", part.label, song.title)
        }
        _ => format!("In `{name}`{}", slot.map_or(String::new(), |slot| format!(" ({slot})"))),
    }
}
