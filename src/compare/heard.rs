//! What is heard differently: per song and part, and per scene.

use std::cell::LazyCell;

use rustc_hash::FxHashMap;

use super::align;
use super::pairs::Matched;
use super::sound::{Ear, Fact, Heard, Key, ears};
use super::tone::{Tone, Tones};
use crate::Compiled;
use crate::book::{Book, Note, Part, Song, amount};
use crate::settle::Value;

/// One difference in what is heard. None is "not there": a pedal that is out, a setting of a pedal that is out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Turn {
    /// What it is about.
    pub what: What,
    /// How it was.
    pub was: Option<String>,
    /// How it is now.
    pub now: Option<String>,
}

/// What a difference is about.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum What {
    /// A pedal goes in or out.
    Pedal(String),
    /// An amp sounds or is silent.
    Amp(String),
    /// A control or level: device, control.
    Setting(String, String),
    /// Anything that only has a number: `loop 3`, `remote 1 tip`.
    Jack(String),
}

/// A part of a song that differs.
#[derive(Clone, PartialEq, Debug)]
pub struct PartTurn {
    /// Its place in the song, from 0: in the new song, or in the old one when it is gone.
    pub at: usize,
    /// What it is called in the old song; None when it is new.
    pub was: Option<String>,
    /// What it is called in the new song; None when it is gone.
    pub now: Option<String>,
    /// The scene it plays, old and new.
    pub scenes: (Option<String>, Option<String>),
    /// What is heard differently.
    pub turns: Vec<Turn>,
    /// How level and treble change.
    pub tone: Tone,
    /// What the hand or foot no longer does, and what it does now.
    pub notes: (Vec<String>, Vec<String>),
}

/// A song that differs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SongTurn {
    /// Its old title; None when it is new.
    pub was: Option<String>,
    /// Its new title; None when it is gone.
    pub now: Option<String>,
    /// Tempo, guitar, tuning: what, old, new.
    pub facts: Vec<(&'static str, Option<String>, Option<String>)>,
    /// Its parts.
    pub parts: Vec<PartTurn>,
    /// The same parts in another order.
    pub reordered: bool,
}

/// A scene that differs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SceneTurn {
    /// Its old name; None when it is new.
    pub was: Option<String>,
    /// Its new name; None when it is gone.
    pub now: Option<String>,
    /// What is heard differently.
    pub turns: Vec<Turn>,
    /// How level and treble change, on each guitar that both books have and on which they do.
    pub tones: Vec<(String, Tone)>,
    /// The songs of its own book that play it.
    pub songs: Vec<String>,
}

/// Hears two books against each other.
pub struct Listener<'c> {
    old: Ear<'c>,
    new: Ear<'c>,
    /// Rows may be compared as they stand: the same cells, the same devices.
    plain: bool,
    known: FxHashMap<(u32, u32), Vec<Turn>>,
    /// Made when first needed.
    tones: Option<Tones<'c>>,
    /// The boards differ: level and treble may differ anywhere.
    board: bool,
}

impl<'c> Listener<'c> {
    /// Ready to listen; `board` says whether the boards differ.
    pub fn new(old: &'c Compiled, new: &'c Compiled, matched: &Matched, board: bool) -> Listener<'c> {
        let (left, right) = ears(old, new, &matched.devices);
        let cells = |c: &'c Compiled| &c.table.cells.list;
        let plain = old.book.devices.len() == new.book.devices.len()
            && old.book.devices.iter().zip(&new.book.devices).all(|(a, b)| {
                a.kind == b.kind
                    && a.loop_at.map(|l| l.value) == b.loop_at.map(|l| l.value)
                    && a.always_on == b.always_on
                    && a.fed_by.map(|f| f.value) == b.fed_by.map(|f| f.value)
                    && same_controls(a, b)
            })
            && matched.devices.to_new.iter().enumerate().all(|(at, to)| *to == Some(at as u32))
            && cells(old).len() == cells(new).len()
            && cells(old).iter().zip(cells(new)).all(|(a, b)| a.kind == b.kind && a.steps == b.steps);
        Listener { old: left, new: right, plain, known: FxHashMap::default(), tones: None, board }
    }

    /// What is heard differently between an old scene and a new one.
    pub fn turns(&mut self, old: u32, new: u32) -> &[Turn] {
        if self.plain && self.old.compiled.table.row(old) == self.new.compiled.table.row(new) {
            return &[];
        }
        if !self.known.contains_key(&(old, new)) {
            let turns = self.listen(old, new);
            self.known.insert((old, new), turns);
        }
        self.known.get(&(old, new)).map_or(&[], Vec::as_slice)
    }

    fn listen(&self, old: u32, new: u32) -> Vec<Turn> {
        // Of a scene with a mistake in it nothing is sure, in a draft.
        let known = |ear: &Ear<'c>, id: u32| !ear.compiled.book.scene(id).is_some_and(|s| s.faulty);
        let says = |known: bool| Some(if known { "known" } else { "not known" }.to_owned());
        match (known(&self.old, old), known(&self.new, new)) {
            (true, true) => {}
            (false, false) => return Vec::new(),
            (was, now) => {
                return vec![Turn { what: What::Jack("its sound".to_owned()), was: says(was), now: says(now) }];
            }
        }
        let (was, now) = (self.old.listen(old), self.new.listen(new));
        let mut out = Vec::new();
        let (mut a, mut b) = (was.iter().peekable(), now.iter().peekable());
        loop {
            let (left, right) = match (a.peek(), b.peek()) {
                (None, None) => break,
                (Some(_), None) => (a.next(), None),
                (None, Some(_)) => (None, b.next()),
                (Some(x), Some(y)) if x.key < y.key => (a.next(), None),
                (Some(x), Some(y)) if y.key < x.key => (None, b.next()),
                _ => (a.next(), b.next()),
            };
            if let (Some(x), Some(y)) = (left, right)
                && x.value.same(y.value)
            {
                continue;
            }
            let Some(key) = left.or(right).map(|f| f.key) else { continue };
            let was = left.map(|f| self.old.words(old, f));
            let now = right.map(|f| self.new.words(new, f));
            if was != now {
                out.push(Turn { what: self.what(key), was, now });
            }
        }
        out
    }

    fn what(&self, key: Key) -> What {
        let found =
            |d: u32| self.new.device(d).map(|at| (&self.new, at)).or(self.old.device(d).map(|at| (&self.old, at)));
        let device = |d: u32| found(d).and_then(|(ear, at)| ear.compiled.book.devices.get(at));
        match key {
            Key::Device(d) => match device(d) {
                Some(device) if device.fed_by.is_some() => What::Amp(device.name.clone()),
                other => What::Pedal(other.map_or(String::new(), |d| d.name.clone())),
            },
            Key::Setting(d, c) => {
                let control = |ear: &Ear<'c>| Some(ear.control(ear.device(d)?, c)?.name.clone());
                let control = control(&self.new).or_else(|| control(&self.old)).unwrap_or_default();
                What::Setting(device(d).map_or(String::new(), |d| d.name.clone()), control)
            }
            Key::Loop(n) => What::Jack(format!("loop {n}")),
            Key::Contact(contact) => What::Jack(contact.says()),
            Key::Port(n) => What::Jack(format!("expression {n}")),
            Key::Output(n) => What::Jack(format!("output {n}")),
        }
    }

    /// The scenes that differ, by name; those that are new; those that are gone.
    pub fn scenes(&mut self, matched: &Matched) -> Vec<SceneTurn> {
        let (old, new) = (self.old.compiled, self.new.compiled);
        let (played, playing) = (LazyCell::new(|| Played::of(old)), LazyCell::new(|| Played::of(new)));
        let mut out = Vec::new();
        for (id, scene) in new.book.scenes.iter().enumerate().filter(|(_, s)| !s.double) {
            let id = id as u32;
            let now = || Some(scene.name.to_string());
            let Some(from) = matched.scenes.old_of(id) else {
                out.push(SceneTurn { now: now(), songs: playing.titles(id), ..SceneTurn::default() });
                continue;
            };
            let turned = !self.turns(from, id).is_empty();
            let tones = if turned || self.board { self.tones_of(from, id) } else { Vec::new() };
            let was = old.book.scene(from).map(|s| &*s.name);
            if turned || !tones.is_empty() || was != Some(&*scene.name) {
                let (was, turns) = (was.map(str::to_owned), self.turns(from, id).to_vec());
                out.push(SceneTurn { was, now: now(), turns, tones, songs: playing.titles(id) });
            }
        }
        for id in matched.scenes.lone_old() {
            if let Some(scene) = old.book.scene(id).filter(|s| !s.double) {
                let was = Some(scene.name.to_string());
                out.push(SceneTurn { was, songs: played.titles(id), ..SceneTurn::default() });
            }
        }
        out.sort_by(|a, b| a.name().cmp(b.name()));
        out
    }

    /// How level and treble of a scene change on the guitars of both books.
    fn tones_of(&mut self, from: u32, to: u32) -> Vec<(String, Tone)> {
        let (old, new) = (self.old.compiled, self.new.compiled);
        let tones = self.tones.get_or_insert_with(|| Tones::new(old, new));
        let mut out = Vec::new();
        for (now, guitar) in new.book.guitars.iter().enumerate() {
            let Some(was) = old.book.guitars.iter().position(|g| g.name == guitar.name) else { continue };
            let tone = tones.between((from, was), (to, now));
            if !tone.same() {
                out.push((guitar.name.clone(), tone));
            }
        }
        out
    }

    /// The songs that differ, by title.
    pub fn songs(&mut self, matched: &Matched) -> Vec<SongTurn> {
        let (old, new) = (self.old.compiled, self.new.compiled);
        let mut out = Vec::new();
        for (id, song) in new.book.songs.iter().enumerate() {
            let from = matched.songs.old_of(id as u32).and_then(|id| old.book.songs.get(id as usize));
            if from.is_some_and(|from| self.plainly_same(from, song, matched)) {
                continue;
            }
            let turn = match from {
                Some(from) => self.song(from, song, matched),
                None => SongTurn { now: Some(song.title.to_string()), ..SongTurn::default() },
            };
            out.push(turn);
        }
        for id in matched.songs.lone_old() {
            if let Some(song) = old.book.songs.get(id as usize) {
                out.push(SongTurn { was: Some(song.title.to_string()), ..SongTurn::default() });
            }
        }
        out.retain(SongTurn::differs);
        out.sort_by(|a, b| a.name().cmp(b.name()));
        out
    }

    /// True of two songs that sound the same line by line, on boards that are the same. Quick, and it may say no of
    /// songs that sound the same.
    fn plainly_same(&self, was: &Song, now: &Song, matched: &Matched) -> bool {
        let (old, new) = (self.old.compiled, self.new.compiled);
        let row = |a: u32, b: u32| matched.scenes.new_of(a) == Some(b) && old.table.row(a) == new.table.row(b);
        self.plain
            && !self.board
            && was.title == now.title
            && was.tempo.map(|t| t.value) == now.tempo.map(|t| t.value)
            && guitar(old, was) == guitar(new, now)
            && was.tuning == now.tuning
            && was.parts.len() == now.parts.len()
            && was.parts.iter().zip(&now.parts).all(|(a, b)| {
                a.label == b.label && a.notes == b.notes && a.scene.zip(b.scene).is_some_and(|(a, b)| row(a, b))
            })
    }

    fn song(&mut self, was: &Song, now: &Song, matched: &Matched) -> SongTurn {
        let (old, new) = (self.old.compiled, self.new.compiled);
        let mut turn =
            SongTurn { was: Some(was.title.to_string()), now: Some(now.title.to_string()), ..SongTurn::default() };
        let tempo = |s: &Song| s.tempo.map(|t| t.value);
        if tempo(was) != tempo(now) {
            let text = |s: &Song| s.tempo.map(|_| format!("{} bpm", s.tempo_text));
            turn.facts.push(("tempo", text(was), text(now)));
        }
        let guitars = (guitar(old, was), guitar(new, now));
        if guitars.0 != guitars.1 {
            turn.facts.push(("guitar", guitars.0.map(str::to_owned), guitars.1.map(str::to_owned)));
        }
        if was.tuning != now.tuning {
            turn.facts.push(("tuning", was.tuning.clone(), now.tuning.clone()));
        }
        let (pairs, reordered) = align::parts(&was.parts, &now.parts, &matched.scenes);
        turn.reordered = reordered;
        for (a, b) in pairs {
            let (a, b) = (a.and_then(|i| Some((i, was.parts.get(i)?))), b.and_then(|i| Some((i, now.parts.get(i)?))));
            turn.parts.extend(self.part(a, b, matched, was.guitar.zip(now.guitar)));
        }
        turn
    }

    fn part(
        &mut self,
        a: Option<(usize, &Part)>,
        b: Option<(usize, &Part)>,
        matched: &Matched,
        guitars: Option<(usize, usize)>,
    ) -> Option<PartTurn> {
        let (old, new) = (self.old.compiled, self.new.compiled);
        let scene = |c: &Compiled, p: Option<(usize, &Part)>| {
            p.and_then(|(_, p)| p.scene).and_then(|s| c.book.scene(s)).map(|s| s.name.to_string())
        };
        let mut turn = PartTurn {
            at: b.or(a).map_or(0, |(at, _)| at),
            was: a.map(|(_, p)| p.label.to_string()),
            now: b.map(|(_, p)| p.label.to_string()),
            scenes: (scene(old, a), scene(new, b)),
            turns: Vec::new(),
            tone: Tone::default(),
            notes: (Vec::new(), Vec::new()),
        };
        let (Some((_, a)), Some((_, b))) = (a, b) else { return Some(turn) };
        if let (Some(from), Some(to)) = (a.scene, b.scene) {
            turn.turns = self.turns(from, to).to_vec();
            if let Some((was, now)) = guitars.filter(|_| self.board || !turn.turns.is_empty()) {
                let tones = self.tones.get_or_insert_with(|| Tones::new(old, new));
                turn.tone = tones.between((from, was), (to, now));
            }
        }
        let texts = |c: &Compiled, p: &Part| p.notes.iter().map(|n| note(c, n)).collect::<Vec<_>>();
        let shared =
            |c: &Compiled, p: &Part, m: Option<&Matched>| p.notes.iter().map(|n| note_key(c, n, m)).collect::<Vec<_>>();
        let (was, now) = (shared(old, a, Some(matched)), shared(new, b, None));
        let left = texts(old, a).into_iter().zip(&was).filter(|(_, k)| !now.contains(k)).map(|(t, _)| t);
        let right = texts(new, b).into_iter().zip(&now).filter(|(_, k)| !was.contains(k)).map(|(t, _)| t);
        turn.notes = (left.collect(), right.collect());
        let same = a.label == b.label
            && turn.turns.is_empty()
            && turn.tone.same()
            && turn.notes.0.is_empty()
            && turn.notes.1.is_empty();
        (!same).then_some(turn)
    }
}

impl Ear<'_> {
    /// A fact in words that need its key beside them.
    fn words(&self, scene: u32, fact: &Fact) -> String {
        let (device, control) = match fact.key {
            Key::Setting(d, c) => (self.device(d), c),
            _ => (None, 0),
        };
        let raw = |value: Value| match (value, device) {
            (Value::Off, _) => "off".to_owned(),
            (Value::On, _) => "on".to_owned(),
            (Value::Pulse, _) => "a pulse".to_owned(),
            (Value::Stays, _) => "left as it is".to_owned(),
            (Value::Foot, _) => "under the foot".to_owned(),
            (Value::FromHeel, _) => "under the foot from the heel".to_owned(),
            (Value::FromToe, _) => "under the foot from the toe".to_owned(),
            (Value::Program(program), _) => format!("program {program}"),
            (Value::Step(step), _) => format!("step {step}"),
            (Value::State(_) | Value::Unknown, _) => "not known".to_owned(),
        };
        match fact.value {
            Heard::In => "in".to_owned(),
            Heard::Silent => "silent".to_owned(),
            Heard::Raw(value) => raw(value),
            Heard::Pattern(_) => "a pattern that is not listed".to_owned(),
            Heard::State(state) => {
                device.and_then(|d| self.state(d, control, state)).map_or(String::new(), |s| format!("`{s}`"))
            }
            Heard::Level { .. } => {
                device.and_then(|d| self.level(scene, d, control)).map_or(String::new(), amount::show)
            }
        }
    }
}

impl SongTurn {
    /// The title it goes by.
    pub fn name(&self) -> &str {
        self.now.as_deref().or(self.was.as_deref()).unwrap_or("")
    }

    /// True when there is something to tell.
    pub fn differs(&self) -> bool {
        self.was != self.now || !self.facts.is_empty() || !self.parts.is_empty() || self.reordered
    }
}

impl SceneTurn {
    /// The name it goes by.
    pub fn name(&self) -> &str {
        self.now.as_deref().or(self.was.as_deref()).unwrap_or("")
    }
}

/// Which songs play which scene.
struct Played<'c> {
    book: &'c Book,
    /// Scene and song, sorted.
    pairs: Vec<(u32, u32)>,
}

impl<'c> Played<'c> {
    fn of(compiled: &'c Compiled) -> Played<'c> {
        let songs = compiled.book.songs.iter().enumerate();
        let mut pairs: Vec<(u32, u32)> =
            songs.flat_map(|(id, song)| song.parts.iter().filter_map(move |p| Some((p.scene?, id as u32)))).collect();
        pairs.sort_unstable();
        pairs.dedup();
        Played { book: &compiled.book, pairs }
    }

    /// The songs that play a scene, by title.
    fn titles(&self, scene: u32) -> Vec<String> {
        let from = self.pairs.partition_point(|(s, _)| *s < scene);
        let songs = self.pairs.iter().skip(from).take_while(|(s, _)| *s == scene);
        let mut out: Vec<String> =
            songs.filter_map(|(_, song)| self.book.songs.get(*song as usize)).map(|s| s.title.to_string()).collect();
        out.sort();
        out
    }
}

fn guitar<'c>(compiled: &'c Compiled, song: &Song) -> Option<&'c str> {
    compiled.book.guitars.get(song.guitar?).map(|g| g.name.as_str())
}

fn note(compiled: &Compiled, note: &Note) -> String {
    match note {
        Note::Tap { device, value } => {
            let name = device.and_then(|d| compiled.book.devices.get(d)).map_or("?", |d| &d.name);
            format!("tap `{name}` {value}")
        }
        Note::Hand(text) => format!("hand \"{text}\""),
        Note::Note(text) => format!("note \"{text}\""),
    }
}

/// A note by what both books share: a renamed pedal is tapped as before.
fn note_key(compiled: &Compiled, said: &Note, old: Option<&Matched>) -> (Option<u32>, String) {
    match said {
        Note::Tap { device: Some(device), value } => {
            let count = compiled.book.devices.len() as u32;
            let shared = match old {
                Some(matched) => matched.devices.new_of(*device as u32).unwrap_or(u32::MAX - count),
                None => *device as u32,
            };
            (Some(shared), value.clone())
        }
        other => (None, note(compiled, other)),
    }
}

fn same_controls(a: &crate::book::Device, b: &crate::book::Device) -> bool {
    a.controls.len() == b.controls.len()
        && a.controls.iter().zip(&b.controls).all(|(a, b)| {
            a.name == b.name
                && a.how == b.how
                && a.states.len() == b.states.len()
                && a.states
                    .iter()
                    .zip(&b.states)
                    .all(|(a, b)| a.name == b.name && a.pattern == b.pattern && a.program == b.program)
        })
}
