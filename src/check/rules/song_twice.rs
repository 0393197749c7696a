//! A song that a set plays twice.
//!
//! # On stage
//! Nobody minds a reprise that is meant. A line that was moved and not taken out is found when the band starts it again.
//!
//! # Way out
//! Take one of the two out; a reprise is clearer as a song of its own title.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "Mole" { bed }
//! set "one" { "Quay"; "Mole"; "Quay" }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "Mole" { bed }
//! set "one" { "Quay"; "Mole"; "Quay" }
//! set "two" from "one" { drop "Mole" }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "Mole" { bed }
//! set "one" { "Quay"; "Mole" }
//! set "two" from "one" { drop "Quay" }
//! ```

use rustc_hash::FxHashSet;

use crate::ids::SongId;
use crate::book::{Set, SetItem};
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Hint;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let mut told: FxHashSet<SongId> = FxHashSet::default();
    let mut sets: Vec<&Set> = book.show.sets.iter().collect();
    sets.sort_by_key(|s| s.at);
    for set in sets {
        let mut played: FxHashSet<SongId> = FxHashSet::default();
        for number in set.items.iter().filter_map(SetItem::song) {
            // A set that derives from another has what was told there.
            if !played.insert(number) && told.insert(number) {
                let Some(song) = book.show.songs.get(number) else { continue };
                out.push(
                    Diagnostic::new(set.at, format!("\"{}\" plays \"{}\" twice", set.title, song.title))
                        .other(song.at, "this song")
                        .help("take one of the two out, unless it is meant"),
                );
            }
        }
    }
}
