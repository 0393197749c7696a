//! What the work reaches: songs, and presets that nobody plays any more.

use std::collections::BTreeSet;

use fixedbitset::FixedBitSet;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::Compiled;
use crate::book::{Slot, Song};
use crate::compare::pairing::Matched;
use crate::compare::stored::memory;
use crate::ids::{SceneId, SongId};
use crate::study::pressed::Pressed;

/// What the work reaches.
#[derive(Clone, Debug, Default)]
pub struct Touched {
    /// Songs of the new book that play a slot worked on, by title, with those slots.
    pub songs: Vec<(String, Vec<Slot>)>,
    /// Slots of the new book whose scene was played and is played no more: slot, scene.
    pub unplayed: Vec<(Slot, SceneId)>,
    /// Slots that the new book does not fill: slot, old scene.
    pub emptied: Vec<(Slot, SceneId)>,
}

/// Finds all that, for the scenes and slots that are worked on.
pub(super) fn touched(
    old: &Compiled,
    new: &Compiled,
    matched: &Matched,
    worked: impl Iterator<Item = (SceneId, Slot)>,
) -> Touched {
    let pressed = Pressed::of(&new.book, &new.presets);
    let numbered = || new.book.show.songs.pairs();
    let of = |number: SongId, song: &Song| -> FxHashSet<Slot> {
        // With the first row of each, through which a foot may come.
        let parts = (0u32..).zip(&song.parts).flat_map(|(part, _)| pressed.at((number, part)));
        parts.flat_map(|slot| [slot.stored(), Slot::at(slot.bank, slot.switch)]).collect()
    };
    let anywhere: FxHashSet<Slot> = numbered().flat_map(|(number, song)| of(number, song)).collect();
    let mut slots: FxHashMap<SceneId, Vec<Slot>> = FxHashMap::default();
    for (scene, slot) in worked {
        slots.entry(scene).or_default().push(slot);
    }
    let mut songs = Vec::new();
    for (number, song) in numbered() {
        let here = of(number, song);
        let played = song.parts.iter().filter_map(|p| p.scene);
        let played = played.flat_map(|s| new.book.show.on_the_way(s)).filter_map(|s| slots.get(&s)).flatten();
        // A copy that no set comes to may be pressed in any song that plays its scene.
        let reached: BTreeSet<Slot> =
            played.filter(|slot| here.contains(slot) || !anywhere.contains(slot)).copied().collect();
        if !reached.is_empty() {
            songs.push((song.title.to_string(), reached.into_iter().collect()));
        }
    }
    songs.sort();
    let plays = |c: &Compiled| {
        let mut played = FixedBitSet::with_capacity(c.book.show.scenes.len());
        c.book.show.songs.iter().flat_map(|s| &s.parts).filter_map(|p| p.scene).for_each(|s| {
            c.book.show.on_the_way(s).for_each(|s| played.insert(s.index()));
        });
        played
    };
    let (before, after) = (plays(old), plays(new));
    let (holds, wants) = (memory(old), memory(new));
    let lost = wants.iter().filter(|row| {
        !after.contains(row.scene.index())
            && matched.scenes.old_of(row.scene).is_some_and(|s| before.contains(s.index()))
    });
    let emptied = holds.iter().filter(|row| wants.binary_search_by_key(&row.slot, |want| want.slot).is_err());
    Touched {
        unplayed: lost.map(|row| (row.slot, row.scene)).collect(),
        emptied: emptied.map(|row| (row.slot, row.scene)).collect(),
        songs,
    }
}
