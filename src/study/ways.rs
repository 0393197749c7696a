//! Runs: what is played after what. The sets by name, then the songs that are in none, each as a run of its own, unless the
//! sets are all that is played.

use fixedbitset::FixedBitSet;

use crate::book::{Book, SetItem};
use crate::ids::SongId;

/// One line of songs played without a break in power.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Run {
    /// The set, an index of `Book::sets`; None for a song that is in no set.
    pub set: Option<usize>,
    /// The songs, indexes of `Book::songs`, each with whether a pause comes before it.
    pub songs: Vec<(SongId, bool)>,
}

impl Run {
    /// What the run is called: the set's title, or the song's.
    pub fn title<'b>(&self, book: &'b Book) -> &'b str {
        let set = self.set.and_then(|s| book.show.sets.get(s)).map(|s| s.title.as_str());
        let song = || self.songs.first().and_then(|(s, _)| book.show.songs.get(*s)).map(|s| s.title.as_str());
        set.or_else(song).unwrap_or("")
    }
}

/// All runs of a book.
pub fn runs(book: &Book) -> Vec<Run> {
    let mut played = FixedBitSet::with_capacity(book.show.songs.len());
    let mut sets: Vec<usize> = (0..book.show.sets.len()).collect();
    sets.sort_by_key(|s| book.show.sets.get(*s).map(|s| &s.title));
    let mut out = Vec::with_capacity(sets.len());
    for number in sets {
        let mut run = Run { set: Some(number), songs: Vec::new() };
        let mut pause = false;
        for item in book.show.sets.get(number).map_or(&[][..], |s| &s.items) {
            match item {
                SetItem::Pause(_) | SetItem::Encore => pause = true,
                SetItem::Song(song) => {
                    played.grow_and_insert(song.index());
                    run.songs.push((*song, std::mem::take(&mut pause)));
                }
            }
        }
        out.push(run);
    }
    let home = |song: &SongId| !book.show.sets_alone && !played.contains(song.index());
    let mut alone: Vec<SongId> = book.show.songs.ids().filter(home).collect();
    alone.sort_by_key(|s| book.show.songs.get(*s).map(|s| &s.title));
    out.extend(alone.into_iter().map(|s| Run { set: None, songs: vec![(s, false)] }));
    out
}
