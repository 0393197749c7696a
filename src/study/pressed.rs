//! Where the parts of songs are pressed: of the slots that hold a part's scene those that the feet take, as the walk goes
//! through every set and through the songs in none.

use std::collections::{BTreeMap, BTreeSet};

use super::ways;
use crate::book::PartAt;
use crate::book::{Book, Slot};
use crate::fill::{Places, Preset};

/// The slots of every part, by song and part.
#[derive(Default)]
pub struct Pressed(BTreeMap<PartAt, BTreeSet<Slot>>);

impl Pressed {
    /// Goes through every run.
    pub fn of(book: &Book, presets: &[Preset]) -> Pressed {
        let places = Places::of(book, presets);
        let wakes = book.board.timing.wakes.map(|w| w.value);
        let stands = presets.iter().find(|p| wakes.is_some() && p.slot == wakes).and_then(|p| p.slot);
        let mut out: BTreeMap<PartAt, BTreeSet<Slot>> = BTreeMap::new();
        for run in ways::runs(book) {
            let songs = || run.songs.iter().filter_map(|(s, _)| Some((*s, book.show.songs.get(*s)?)));
            let parts =
                songs().flat_map(|(number, song)| (0u32..).zip(&song.parts).map(move |(part, _)| (number, part)));
            for (part, slot) in parts.zip(places.path(stands, songs().map(|(_, song)| song))) {
                out.entry(part).or_default().extend(slot);
            }
        }
        Pressed(out)
    }

    /// The slots of one part: several where sets, or turns in one set, come to it from elsewhere.
    pub fn at(&self, part: PartAt) -> impl Iterator<Item = Slot> {
        self.0.get(&part).into_iter().flatten().copied()
    }
}
