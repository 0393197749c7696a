//! How long songs and sets last, by what the book says of them.

use crate::book::song::show_length;
use crate::book::{Book, SetItem, Song};

/// The length of some songs.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Length {
    /// All that is known, in seconds.
    pub seconds: u64,
    /// Songs.
    pub songs: usize,
    /// Those of which it is not known.
    pub unknown: usize,
}

/// How long a song lasts, in seconds: what it says itself, else its parts if each says so.
pub fn of_song(song: &Song) -> Option<u64> {
    song.music.lasts.map(|l| u64::from(l.value)).or_else(|| of_parts(song))
}

/// How long its parts last, each as often as it is played, in seconds; None unless each says so.
pub fn of_parts(song: &Song) -> Option<u64> {
    let parts = song.parts.iter().map(|part| Some(u64::from(part.besides().lasts?) * u64::from(part.times)));
    if song.parts.is_empty() { None } else { parts.sum() }
}

/// How long the songs of a set last, pauses left out.
pub fn of(book: &Book, items: &[SetItem]) -> Length {
    let mut out = Length::default();
    for song in items.iter().filter_map(|item| book.show.songs.get(item.song()?)) {
        out.songs += 1;
        match of_song(song) {
            Some(seconds) => out.seconds += seconds,
            None => out.unknown += 1,
        }
    }
    out
}

impl Length {
    /// `52:10 of music`, `at least 41:20 of music, 3 of 14 songs say no length`; None when no song says how long it is.
    pub fn says(&self) -> Option<String> {
        if self.unknown == self.songs {
            return None;
        }
        let time = format!("{} of music", show_length(self.seconds));
        Some(match self.unknown {
            0 => time,
            1 => format!("at least {time}, one of {} songs says no length", self.songs),
            unknown => format!("at least {time}, {unknown} of {} songs say no length", self.songs),
        })
    }
}
