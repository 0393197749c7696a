//! Scene by scene, with the songs that play them.

use std::cell::LazyCell;

use super::change::SceneChange;
use super::listener::Listener;
use super::tone::Tone;
use crate::Compiled;
use crate::book::Book;
use crate::compare::pairing::Matched;
use crate::ids::{SceneId, SongId};

/// The scenes that differ, by name; those that are new; those that are gone.
pub(super) fn scenes(
    old: &Compiled,
    new: &Compiled,
    matched: &Matched,
    listener: &mut Listener<'_>,
) -> Vec<SceneChange> {
    let (played, playing) = (LazyCell::new(|| Played::of(old)), LazyCell::new(|| Played::of(new)));
    let mut out = Vec::new();
    for (id, scene) in new.book.show.scenes.pairs().filter(|(_, s)| !s.repeated) {
        let now = || Some(scene.name.to_string());
        let Some(from) = matched.scenes.old_of(id) else {
            out.push(SceneChange { now: now(), songs: playing.titles(id), ..SceneChange::default() });
            continue;
        };
        let differs = !listener.changes(from, id).is_empty();
        let tones = if differs || listener.board { tones(old, new, (from, id), listener) } else { Vec::new() };
        let was = old.book.show.scene(from).map(|s| &*s.name);
        if differs || !tones.is_empty() || was != Some(&*scene.name) {
            let (was, changes) = (was.map(str::to_owned), listener.changes(from, id).to_vec());
            out.push(SceneChange { was, now: now(), changes, tones, songs: playing.titles(id) });
        }
    }
    for id in matched.scenes.lone_old() {
        if let Some(scene) = old.book.show.scene(id).filter(|s| !s.repeated) {
            let was = Some(scene.name.to_string());
            out.push(SceneChange { was, songs: played.titles(id), ..SceneChange::default() });
        }
    }
    out.sort_by(|a, b| a.name().cmp(b.name()));
    out
}

/// How level and treble of a scene change on the guitars of both books.
fn tones(
    old: &Compiled,
    new: &Compiled,
    (from, to): (SceneId, SceneId),
    listener: &mut Listener<'_>,
) -> Vec<(String, Tone)> {
    let mut out = Vec::new();
    for (now, guitar) in new.book.board.guitars.iter().enumerate() {
        let Some(was) = old.book.board.guitars.iter().position(|g| g.name == guitar.name) else { continue };
        let tone = listener.tone((from, was), (to, now));
        if !tone.same() {
            out.push((guitar.name.clone(), tone));
        }
    }
    out
}

/// Which songs play which scene.
struct Played<'c> {
    book: &'c Book,
    /// Scene and song, sorted.
    pairs: Vec<(SceneId, SongId)>,
}

impl<'c> Played<'c> {
    fn of(compiled: &'c Compiled) -> Played<'c> {
        let songs = compiled.book.show.songs.pairs();
        let mut pairs: Vec<(SceneId, SongId)> =
            songs.flat_map(|(id, song)| song.parts.iter().filter_map(move |p| Some((p.scene?, id)))).collect();
        pairs.sort_unstable();
        pairs.dedup();
        Played { book: &compiled.book, pairs }
    }

    /// The songs that play a scene, by title.
    fn titles(&self, scene: SceneId) -> Vec<String> {
        let from = self.pairs.partition_point(|(s, _)| *s < scene);
        let songs = self.pairs.iter().skip(from).take_while(|(s, _)| *s == scene);
        let mut out: Vec<String> =
            songs.filter_map(|(_, song)| self.book.show.songs.get(*song)).map(|s| s.title.to_string()).collect();
        out.sort();
        out
    }
}
