//! Song by song, part by part.

use super::change::{PartChange, SongChange, SongFact, SongFactKind};
use super::listener::Listener;
use super::tone::Tone;
use super::{align, notes};
use crate::Compiled;
use crate::book::song::show_length;
use crate::book::{Part, Song};
use crate::compare::pairing::Matched;
use crate::ids::SceneId;

/// Both books' songs.
pub(super) struct Songs<'s, 'c> {
    pub(super) old: &'c Compiled,
    pub(super) new: &'c Compiled,
    pub(super) matched: &'s Matched,
    pub(super) listener: &'s mut Listener<'c>,
}

impl Songs<'_, '_> {
    /// The songs that differ, by title.
    pub(super) fn all(&mut self) -> Vec<SongChange> {
        let (old, new, matched) = (self.old, self.new, self.matched);
        let mut out = Vec::new();
        for (id, song) in new.book.show.songs.pairs() {
            let from = matched.songs.old_of(id).and_then(|id| old.book.show.songs.get(id));
            if from.is_some_and(|from| self.plainly_same(from, song)) {
                continue;
            }
            let change = match from {
                Some(from) => self.song(from, song),
                None => SongChange { now: Some(song.title.to_string()), ..SongChange::default() },
            };
            out.push(change);
        }
        for id in matched.songs.lone_old() {
            if let Some(song) = old.book.show.songs.get(id) {
                out.push(SongChange { was: Some(song.title.to_string()), ..SongChange::default() });
            }
        }
        out.retain(SongChange::differs);
        out.sort_by(|a, b| a.name().cmp(b.name()));
        out
    }

    /// True of two songs that sound the same line by line, on boards that are the same. Quick, and it may say no of
    /// songs that sound the same.
    fn plainly_same(&self, was: &Song, now: &Song) -> bool {
        let row = |a: SceneId, b: SceneId| self.matched.scenes.new_of(a) == Some(b) && self.listener.plainly_same(a, b);
        !self.listener.board
            && was.title == now.title
            && was.tempo.map(|t| t.value) == now.tempo.map(|t| t.value)
            && guitar(self.old, was) == guitar(self.new, now)
            && was.tuning == now.tuning
            && music(was) == music(now)
            && was.parts.len() == now.parts.len()
            && was.parts.iter().zip(&now.parts).all(|(a, b)| {
                let (more, now) = (a.besides(), b.besides());
                (&a.label, a.times) == (&b.label, b.times)
                    && (&more.notes, more.lasts) == (&now.notes, now.lasts)
                    && more.called.is_some() == now.called.is_some()
                    && own_guitar(self.old, a) == own_guitar(self.new, b)
                    && (&more.tuning, more.capo) == (&now.tuning, now.capo)
                    && a.scene.zip(b.scene).is_some_and(|(a, b)| row(a, b))
            })
    }

    fn song(&mut self, was: &Song, now: &Song) -> SongChange {
        let mut change =
            SongChange { was: Some(was.title.to_string()), now: Some(now.title.to_string()), ..SongChange::default() };
        let tempo = |s: &Song| s.tempo.map(|t| t.value);
        let mut fact = |kind, was, now| change.facts.push(SongFact { kind, was, now });
        if tempo(was) != tempo(now) {
            let text = |s: &Song| s.tempo.map(|_| s.tempo_text.to_string());
            fact(SongFactKind::Tempo, text(was), text(now));
        }
        let guitars = (guitar(self.old, was), guitar(self.new, now));
        if guitars.0 != guitars.1 {
            fact(SongFactKind::Guitar, guitars.0.map(str::to_owned), guitars.1.map(str::to_owned));
        }
        if was.tuning != now.tuning {
            fact(SongFactKind::Tuning, was.tuning.clone(), now.tuning.clone());
        }
        for ((kind, before), (_, after)) in music(was).into_iter().zip(music(now)) {
            if before != after {
                fact(kind, before, after);
            }
        }
        let (pairs, reordered) = align::parts(&was.parts, &now.parts, &self.matched.scenes);
        change.reordered = reordered;
        for (a, b) in pairs {
            let (a, b) = (a.and_then(|i| Some((i, was.parts.get(i)?))), b.and_then(|i| Some((i, now.parts.get(i)?))));
            let guitar =
                |song: &Song, part: Option<(usize, &Part)>| part.map_or(song.guitar, |(_, p)| song.guitar_of(p));
            change.parts.extend(self.part(a, b, guitar(was, a).zip(guitar(now, b))));
        }
        change
    }

    fn part(
        &mut self,
        a: Option<(usize, &Part)>,
        b: Option<(usize, &Part)>,
        guitars: Option<(usize, usize)>,
    ) -> Option<PartChange> {
        let scene = |c: &Compiled, p: Option<(usize, &Part)>| {
            p.and_then(|(_, p)| p.scene).and_then(|s| c.book.show.scene(s)).map(|s| s.name.to_string())
        };
        let mut change = PartChange {
            at: b.or(a).map_or(0, |(at, _)| at),
            was: a.map(|(_, p)| p.label.to_string()),
            now: b.map(|(_, p)| p.label.to_string()),
            scenes: (scene(self.old, a), scene(self.new, b)),
            changes: Vec::new(),
            tone: Tone::default(),
            notes: (Vec::new(), Vec::new()),
        };
        let (Some((_, a)), Some((_, b))) = (a, b) else { return Some(change) };
        if let (Some(from), Some(to)) = (a.scene, b.scene) {
            change.changes = self.listener.changes(from, to).to_vec();
            if let Some((was, now)) = guitars.filter(|_| self.listener.board || !change.changes.is_empty()) {
                change.tone = self.listener.tone((from, was), (to, now));
            }
        }
        change.notes = notes::differences((self.old, a), (self.new, b), self.matched);
        let same = a.label == b.label
            && change.changes.is_empty()
            && change.tone.same()
            && change.notes.0.is_empty()
            && change.notes.1.is_empty();
        (!same).then_some(change)
    }
}

fn guitar<'c>(compiled: &'c Compiled, song: &Song) -> Option<&'c str> {
    compiled.book.board.guitars.get(song.guitar?).map(|g| g.name.as_str())
}

/// The guitar that a part alone is played on.
fn own_guitar<'c>(compiled: &'c Compiled, part: &Part) -> Option<&'c str> {
    compiled.book.board.guitars.get(part.besides().guitar?.value).map(|g| g.name.as_str())
}

/// What musicians say of a song, each kind once.
fn music(song: &Song) -> [(SongFactKind, Option<String>); 5] {
    let music = &song.music;
    [
        (SongFactKind::Key, music.key.clone()),
        (SongFactKind::Capo, music.capo.map(|fret| fret.to_string())),
        (SongFactKind::CountIn, music.count_in.clone()),
        (SongFactKind::Length, music.lasts.map(|l| show_length(u64::from(l.value)))),
        (SongFactKind::Note, (!music.notes.is_empty()).then(|| music.notes.join("; "))),
    ]
}
