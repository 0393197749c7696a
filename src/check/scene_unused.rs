//! A scene that no song plays, no scene builds on, no slot is kept for, and nothing falls back on.
//!
//! # On stage
//! It takes a slot of the switcher that a played scene could have, and each one hides a song part that was forgotten.
//!
//! # Way out
//! Play it in a song, take it out, or say why it stays: `allow scene-unused NAME "for the encore"`.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! ```
//! ```scene
//! scene bed { mute }
//! scene wide from bed { }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay" { all: bed }
//! ```

use fixedbitset::FixedBitSet;

use super::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    if book.broken {
        return;
    }
    let mut used = FixedBitSet::with_capacity(book.scenes.len());
    let played = book.songs.iter().flat_map(|s| &s.parts).filter_map(|p| p.scene);
    let parents = book.scenes.iter().filter_map(|s| s.parent);
    let pinned = book.pins.iter().map(|(_, scene, _)| *scene);
    let ways_out = book.fallbacks.iter().filter_map(|f| f.becomes);
    played.chain(parents).chain(pinned).chain(ways_out).for_each(|id| used.insert(id as usize));
    for (id, scene) in book.scenes.iter().enumerate() {
        if !used.contains(id) && !scene.double && !scene.faulty {
            let name = &scene.name;
            out.push(
                Diagnostic::new(scene.at, format!("nothing plays `{name}`"))
                    .help(format!("play it in a song, take it out, or say `allow scene-unused {name} \"why\"`")),
            );
        }
    }
}
