//! What the computer's file must send otherwise: presets that were called from outside and stand elsewhere now, parts that
//! come and go. What a preset holds does not matter to it.

use super::heard::parts;
use super::pairing::Matched;
use crate::Compiled;
use crate::book::{Call, Song};
use crate::fill::Places;
use crate::study::calls;

/// What is sent, and on which channel, from 1.
pub type Sent = (u16, Call);

/// Everything that a file made of the old book sends otherwise than one of the new.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Calls {
    /// The old book called nothing: there is no file yet.
    pub fresh: bool,
    /// The new book calls nothing any more.
    pub gone: bool,
    /// The songs that differ, by title.
    pub songs: Vec<SongCalls>,
}

/// A song of which something is called otherwise.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SongCalls {
    /// Its title.
    pub song: String,
    /// The old book called nothing in it.
    pub fresh: bool,
    /// Its parts that differ, in the new order, those that are gone last.
    pub parts: Vec<PartCalls>,
}

/// A part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PartCalls {
    /// What it is called.
    pub part: String,
    /// What was sent at its start, and what is sent now; None where nothing is.
    pub was: Option<Sent>,
    pub now: Option<Sent>,
}

impl Calls {
    /// A file of the old book is right for the new one.
    pub fn is_empty(&self) -> bool {
        self.songs.is_empty() && !self.gone
    }
}

/// One book's songs, and what is sent in them.
struct Side<'c> {
    compiled: &'c Compiled,
    places: Places,
    channel: Option<u16>,
}

impl<'c> Side<'c> {
    fn of(compiled: &'c Compiled) -> Side<'c> {
        let answers = compiled.book.board.switcher.as_ref().and_then(|s| s.answers);
        let places = Places::of(&compiled.book, &compiled.presets);
        Side { compiled, places, channel: answers.map(|answers| answers.channel) }
    }

    /// What is sent at each part; empty where none is called.
    fn sent(&self, song: &Song) -> Vec<Option<Sent>> {
        let Some(channel) = self.channel else { return Vec::new() };
        let called = calls::of_song(&self.compiled.book.board, &self.places, song);
        if called.is_empty() {
            return Vec::new();
        }
        let mut out = vec![None; song.parts.len()];
        for one in called.into_iter().filter(|one| !one.stays) {
            out.get_mut(one.part).into_iter().for_each(|sent| *sent = Some((channel, one.call)));
        }
        out
    }

    /// Something is sent in some song.
    fn calls(&self) -> bool {
        self.compiled.book.show.songs.iter().any(|song| !self.sent(song).is_empty())
    }
}

/// Compares what two books send.
pub(super) fn differences(old: &Compiled, new: &Compiled, matched: &Matched) -> Calls {
    let said = |c: &Compiled| c.book.board.switcher.as_ref().is_some_and(|s| s.answers.is_some());
    if !said(old) && !said(new) {
        return Calls::default();
    }
    let (old, new) = (Side::of(old), Side::of(new));
    let (before, after) = (old.calls(), new.calls());
    if !after {
        return Calls { gone: before, ..Calls::default() };
    }
    let mut songs = Vec::new();
    for (id, song) in new.compiled.book.show.songs.pairs() {
        let was = matched.songs.old_of(id).and_then(|id| old.compiled.book.show.songs.get(id));
        let (sent, had) = (new.sent(song), was.map_or(Vec::new(), |was| old.sent(was)));
        if sent.is_empty() && had.is_empty() {
            continue;
        }
        let at = |sent: &[Option<Sent>], at: Option<usize>| at.and_then(|at| sent.get(at)).copied().flatten();
        let old_parts = was.map_or(&[][..], |was| &was.parts);
        let pairs = parts(old_parts, &song.parts, &matched.scenes).0.into_iter();
        let turned = pairs.filter_map(|(a, b)| {
            let (was, now) = (at(&had, a), at(&sent, b));
            let part = b.and_then(|b| song.parts.get(b)).or_else(|| old_parts.get(a?))?;
            (was != now).then(|| PartCalls { part: part.label.to_string(), was, now })
        });
        let turned: Vec<PartCalls> = turned.collect();
        if !turned.is_empty() {
            songs.push(SongCalls { song: song.title.to_string(), fresh: had.is_empty(), parts: turned });
        }
    }
    songs.sort_by(|a, b| a.song.cmp(&b.song));
    Calls { fresh: !before, gone: false, songs }
}
