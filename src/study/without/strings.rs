//! A string breaks: which songs the guitar plays, which other guitar takes them with the fewest to tune for, and how it is to
//! be tuned.

use std::collections::BTreeSet;

use super::Told;
use crate::book::Song;
use crate::ids::SongId;

/// What a guitar plays, and which other one is taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Strings {
    pub guitar: usize,
    /// The other guitar; None where the board has no other.
    pub other: Option<usize>,
    /// Its songs, in playing order, each with whether the other guitar must be tuned for it: it plays no song so tuned.
    pub songs: Vec<(SongId, bool)>,
    /// No other guitar has fewer songs to tune for.
    pub tune: usize,
}

/// How a guitar is tuned, and where its capo is.
pub type Tuned = (Option<String>, Option<u32>);

/// Some part of a song is played on a guitar; of a song without parts, what the song says.
fn plays(song: &Song, guitar: usize) -> bool {
    song.parts.is_empty() && song.guitar == Some(guitar) || song.parts.iter().any(|p| song.guitar_of(p) == Some(guitar))
}

/// All the ways that a song wants a guitar.
pub fn tuned(song: &Song, guitar: usize) -> BTreeSet<Tuned> {
    if song.parts.is_empty() {
        return BTreeSet::from([(song.tuning.clone(), song.music.capo)]);
    }
    let on = song.parts.iter().filter(|p| song.guitar_of(p) == Some(guitar));
    on.map(|p| (song.tuning_of(p).map(str::to_owned), song.capo_of(p))).collect()
}

pub(super) fn of(told: &Told<'_>) -> Vec<Strings> {
    let mut seen = BTreeSet::new();
    let played: Vec<SongId> = told.plays.iter().map(|p| p.song).filter(|song| seen.insert(*song)).collect();
    let song = |at: SongId| told.book.show.songs.get(at);
    let on = |guitar: usize| played.iter().copied().filter(move |at| song(*at).is_some_and(|s| plays(s, guitar)));
    let guitars = 0..told.book.board.guitars.len();
    let one = |guitar: usize| {
        let songs = |other: Option<usize>| -> Vec<(SongId, bool)> {
            let tuned_for = |guitar: usize, at: SongId| song(at).map_or(BTreeSet::new(), |s| tuned(s, guitar));
            let known: BTreeSet<Tuned> =
                other.map(|o| on(o).flat_map(|at| tuned_for(o, at)).collect()).unwrap_or_default();
            on(guitar).map(|at| (at, !tuned_for(guitar, at).is_subset(&known))).collect()
        };
        let tune = |songs: &[(SongId, bool)]| songs.iter().filter(|(_, tune)| *tune).count();
        let others = guitars.clone().filter(|other| *other != guitar);
        let other = others.min_by_key(|other| (tune(&songs(Some(*other))), *other));
        let songs = songs(other);
        Strings { guitar, other, tune: tune(&songs), songs }
    };
    guitars.clone().map(one).collect()
}
