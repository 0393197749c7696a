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
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2 }
//! scene bed { mute }
//! scene hush from bed { }
//! slots { 1.1 hush }
//! ```

use fixedbitset::FixedBitSet;

use crate::check::{Diagnostic, Facts, Severity, slotless};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    if book.broken {
        return;
    }
    let mut used = FixedBitSet::with_capacity(book.show.scenes.len());
    let played = book.show.songs.iter().flat_map(|s| &s.parts).filter_map(|p| p.scene).flat_map(|s| book.show.on_the_way(s));
    let parents = book.show.scenes.iter().filter(|s| s.pressed == 0).filter_map(|s| s.parent);
    let second = book.show.again.iter().map(|again| again.second);
    let pinned = book.show.pins.iter().map(|(_, scene, _)| *scene);
    let ways_out = book.show.fallbacks.iter().filter_map(|f| f.becomes);
    let mentioned = book.show.mentioned.iter().copied();
    let all = played.chain(parents).chain(second).chain(pinned).chain(ways_out).chain(mentioned);
    all.for_each(|id| used.insert(id.index()));
    let meant = slotless::misspelt(facts);
    for (id, scene) in book.show.scenes.pairs() {
        if used.contains(id.index()) || scene.repeated || scene.faulty {
            continue;
        }
        // A name that could not be found may have meant this scene.
        let Some(meant) = &meant else { return };
        let name = &scene.name;
        if meant.binary_search(&name.as_ref()).is_err() {
            out.push(
                Diagnostic::new(scene.at, format!("nothing plays `{name}`"))
                    .help(format!("play it in a song, take it out, or say `allow scene-unused {name} \"why\"`")),
            );
        }
    }
}
