//! A string breaks: which songs the guitar plays, which other guitar takes them with the fewest to tune for, and how it is to
//! be tuned.

use std::collections::BTreeSet;

use super::Told;
use crate::book::Song;

/// What a guitar plays, and which other one is taken.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Strings {
    pub guitar: usize,
    /// The other guitar; None where the board has no other.
    pub other: Option<usize>,
    /// Its songs, in playing order, each with whether the other guitar must be tuned for it: it plays no song so tuned.
    pub songs: Vec<(usize, bool)>,
    /// No other guitar has fewer songs to tune for.
    pub tune: usize,
}

pub(super) fn of(told: &Told<'_>) -> Vec<Strings> {
    let mut seen = BTreeSet::new();
    let played: Vec<usize> = told.plays.iter().map(|p| p.song).filter(|song| seen.insert(*song)).collect();
    let song = |at: usize| told.book.show.songs.get(at);
    let on =
        |guitar: usize| played.iter().copied().filter(move |at| song(*at).is_some_and(|s| s.guitar == Some(guitar)));
    let tuned = |song: &Song| (song.tuning.clone(), song.music.capo);
    let guitars = 0..told.book.board.guitars.len();
    let one = |guitar: usize| {
        let songs = |other: Option<usize>| -> Vec<(usize, bool)> {
            let known: BTreeSet<_> = other.map(|o| on(o).filter_map(song).map(tuned).collect()).unwrap_or_default();
            on(guitar).map(|at| (at, song(at).is_some_and(|s| !known.contains(&tuned(s))))).collect()
        };
        let tune = |songs: &[(usize, bool)]| songs.iter().filter(|(_, tune)| *tune).count();
        let others = guitars.clone().filter(|other| *other != guitar);
        let other = others.min_by_key(|other| (tune(&songs(Some(*other))), *other));
        let songs = songs(other);
        Strings { guitar, other, tune: tune(&songs), songs }
    };
    guitars.clone().map(one).collect()
}
