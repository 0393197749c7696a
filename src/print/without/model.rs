//! What is printed of each part, whoever prints it.

use std::collections::BTreeSet;

use serde::Serialize;

use super::says::{self, Words};
use crate::Compiled;
use crate::book::Slot;
use crate::ids::{SceneId, SongId};
use crate::study::without::blow::Struck;
use crate::study::without::heard::HUNDREDTHS;
use crate::study::without::{Dead, Hit, Move, Part, Play, Way, Without};

/// A part that dies.
#[derive(Serialize)]
pub struct Entry {
    pub part: String,
    pub what: String,
    /// Another part with which the same dies.
    pub like: Option<String>,
    /// Songs and parts of songs that it touches, and how many of those are silent then.
    pub songs: usize,
    pub parts: usize,
    pub silent: usize,
    /// The first thing to do.
    pub first: String,
    #[serde(skip)]
    pub brief: String,
    pub presets: Vec<Row>,
    #[serde(skip)]
    pub of: Part,
}

/// A preset that it touches.
#[derive(Serialize)]
pub struct Row {
    pub slot: Option<String>,
    pub scene: String,
    pub played: Vec<Played>,
    pub silent: bool,
    /// How far what is heard then lies from what was meant.
    pub off: f64,
    pub nearest: Option<Press>,
    pub in_reach: Option<Press>,
    pub own: Vec<Own>,
}

/// A part of a song.
#[derive(Serialize, PartialEq, Eq)]
pub struct Played {
    pub song: String,
    pub part: String,
}

/// A preset to press instead.
#[derive(Serialize, PartialEq, Clone)]
pub struct Press {
    pub slot: String,
    pub scene: String,
    pub presses: Option<u32>,
    pub off: f64,
}

/// A way out that the book says.
#[derive(Serialize)]
pub struct Own {
    pub scene: String,
    /// Why it does not hold.
    pub fails: Option<&'static str>,
    pub way: Option<Press>,
}

/// All parts that were studied.
pub fn entries(compiled: &Compiled, study: &Without<'_>) -> Vec<Entry> {
    study.dead.iter().map(|dead| entry(compiled, study, dead)).collect()
}

/// The plays that a part touches.
fn plays(compiled: &Compiled, study: &Without<'_>, dead: &Dead) -> Vec<usize> {
    let all = study.told.plays.iter().enumerate();
    if dead.first == Move::ByFoot {
        let called = |play: &Play| {
            let song = compiled.book.show.songs.get(play.song)?;
            study.told.places.called(song).get(play.part).copied().flatten()
        };
        return all.filter(|(_, play)| called(play).is_some()).map(|(at, _)| at).collect();
    }
    match &dead.struck {
        Struck::Presets(_) => dead.plays().collect(),
        Struck::Switcher => all.map(|(at, _)| at).collect(),
        Struck::Guitar(guitar) => {
            let songs = &compiled.book.show.songs;
            let on = |song: SongId, part: usize| {
                songs.get(song).and_then(|s| s.guitar_of(s.parts.get(part)?)) == Some(*guitar)
            };
            all.filter(|(_, play)| on(play.song, play.part)).map(|(at, _)| at).collect()
        }
    }
}

fn entry(compiled: &Compiled, study: &Without<'_>, dead: &Dead) -> Entry {
    let (board, wiring) = (&compiled.book.board, study.told.wiring);
    let of = |plays: &mut dyn Iterator<Item = usize>| {
        plays.filter_map(|at| study.told.plays.get(at)).map(|p| (p.song, p.part)).collect::<BTreeSet<_>>()
    };
    let parts = of(&mut plays(compiled, study, dead).into_iter());
    let silent = of(&mut dead.hits.iter().filter(|h| h.silent).flat_map(|h| h.plays.iter().copied()));
    let Words { full, brief } = says::first(compiled, study, dead);
    Entry {
        part: dead.part.name(board, wiring),
        what: dead.part.what(board, wiring),
        like: dead.like.map(|part| part.name(board, wiring)),
        songs: parts.iter().map(|(song, _)| song).collect::<BTreeSet<_>>().len(),
        parts: parts.len(),
        silent: if dead.struck == Struck::Switcher { parts.len() } else { silent.len() },
        first: full,
        brief,
        presets: dead.hits.iter().map(|hit| row(compiled, study, hit)).collect(),
        of: dead.part,
    }
}

fn row(compiled: &Compiled, study: &Without<'_>, hit: &Hit) -> Row {
    let book = &compiled.book;
    let press = |way: Way| Press {
        slot: slot(compiled, Some(way.slot)).unwrap_or_default(),
        scene: scene(compiled, way.scene),
        presses: way.presses,
        off: weight(way.off),
    };
    let played = hit.plays.iter().filter_map(|at| {
        let play = study.told.plays.get(*at)?;
        let song = book.show.songs.get(play.song)?;
        Some(Played { song: song.title.to_string(), part: song.parts.get(play.part)?.label.to_string() })
    });
    let own = hit.own.iter().map(|own| {
        let fails = match own {
            own if own.touched => Some("it is touched too"),
            own if own.way.is_none() => Some("it stands in no slot"),
            _ => None,
        };
        Own { scene: scene(compiled, own.scene), fails, way: own.way.map(press) }
    });
    Row {
        slot: slot(compiled, hit.slot),
        scene: scene(compiled, hit.scene),
        played: played.collect(),
        silent: hit.silent,
        off: weight(hit.loss),
        nearest: hit.near.map(press),
        in_reach: hit.quick.map(press),
        own: own.collect(),
    }
}

/// Hundredths as the number they are.
pub fn weight(hundredths: u64) -> f64 {
    hundredths as f64 / HUNDREDTHS as f64
}

pub(super) fn slot(compiled: &Compiled, slot: Option<Slot>) -> Option<String> {
    let range = compiled.book.board.switcher.as_ref()?.slots?;
    slot.map(|slot| range.show(slot))
}

fn scene(compiled: &Compiled, scene: SceneId) -> String {
    compiled.book.show.scene(scene).map_or("?".to_owned(), |s| s.name.to_string())
}
