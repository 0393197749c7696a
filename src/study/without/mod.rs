//! What if a part dies: which parts of which songs it touches, what is heard then, the nearest scene that does without it,
//! and what can be done by hand.
//!
//! What is heard of a scene is a row of marks: each device in or not, and how its controls stand. Two rows are as far apart
//! as their differences weigh together (`heard::Weights`). A part touches a scene when the row is another one without it.

pub mod blow;
pub mod heard;
pub mod moves;
pub mod near;
pub mod part;
pub mod patch;
pub mod spares;
pub mod strings;

use std::collections::BTreeSet;

use rustc_hash::{FxHashMap, FxHashSet};

use super::budget;
use super::route::Route;
use super::ways::{self, Run};
use super::wiring::Wiring;
pub use crate::book::Board;
use crate::book::song::title_key;
use crate::book::{Book, Slot, Song};
use crate::fill::{Places, Preset};
use crate::ids::{SceneId, SongId};
use crate::settle::Table;
use blow::Struck;
use heard::{Blow, Columns, Mark, Weights};
pub use moves::Move;
pub use near::{Own, Way};
pub use part::Part;
pub use patch::Patch;
pub use spares::Spare;
pub use strings::Strings;

/// What is studied.
#[derive(Clone, Copy)]
pub struct Given<'g> {
    /// The book, its table, its memory, its leads.
    pub book: &'g Book,
    pub table: &'g Table,
    pub presets: &'g [Preset],
    pub wiring: &'g Wiring,
    pub route: &'g Route,
}

/// What is asked.
#[derive(Clone, Debug)]
pub struct Asked {
    /// One set, or a song that is in none; else all of them.
    pub set: Option<String>,
    /// One part; else all.
    pub part: Option<Part>,
    pub weights: Weights,
    /// So many presses are in reach.
    pub reach: u32,
    /// Look for the nearest scenes too.
    pub near: bool,
}

/// So many presses are in reach unless somebody says otherwise: another bank and a switch of it.
pub const REACH: u32 = 2;

impl Default for Asked {
    fn default() -> Asked {
        Asked { set: None, part: None, weights: Weights::default(), reach: REACH, near: true }
    }
}

/// A part of a song, and the preset that it is played from.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Play {
    /// Indexes of the song and of its part.
    pub song: SongId,
    pub part: usize,
    pub scene: SceneId,
    pub slot: Option<Slot>,
}

/// What is known before anything dies.
pub struct Told<'g> {
    pub book: &'g Book,
    pub table: &'g Table,
    pub wiring: &'g Wiring,
    pub route: &'g Route,
    pub columns: Columns,
    /// What is played, in the order of the sets.
    pub plays: Vec<Play>,
    pub places: Places,
    pub weights: Weights,
    /// What is heard of each scene.
    heard: Vec<Vec<Mark>>,
}

impl Told<'_> {
    /// What is heard of a scene.
    pub fn heard(&self, scene: SceneId) -> &[Mark] {
        self.heard.get(scene.index()).map_or(&[], Vec::as_slice)
    }

    fn distance(&self, a: &[Mark], b: &[Mark]) -> u64 {
        self.columns.distance(self.book, a, b, &self.weights)
    }
}

/// A preset that sounds otherwise when a part is dead.
#[derive(Clone, PartialEq, Debug)]
pub struct Hit {
    pub scene: SceneId,
    /// Where it stands; None for a scene in no slot.
    pub slot: Option<Slot>,
    /// The parts that are played from here; indexes of `Told::plays`.
    pub plays: Vec<usize>,
    /// How far what is heard then lies from what was meant, in hundredths.
    pub loss: u64,
    /// Nothing is heard of it any more.
    pub silent: bool,
    /// The nearest scene that the part does not touch, and the nearest in reach; None where there is none.
    pub near: Option<Way>,
    pub quick: Option<Way>,
    /// The ways out that the book says.
    pub own: Vec<Own>,
}

/// A part that is dead.
#[derive(Clone, PartialEq, Debug)]
pub struct Dead {
    pub part: Part,
    /// Another part, further up, with which the same dies.
    pub like: Option<Part>,
    /// What dies with it.
    pub struck: Struck,
    /// The presets that it touches: those that are played first, in their order; then the others by slot.
    pub hits: Vec<Hit>,
    /// Scenes that it touches and that stand in no slot and are not played.
    pub idle: usize,
    /// What can be done by hand.
    pub first: Move,
}

impl Dead {
    /// The plays that it touches.
    pub fn plays(&self) -> impl Iterator<Item = usize> + '_ {
        self.hits.iter().flat_map(|hit| hit.plays.iter().copied())
    }
}

/// The whole study.
pub struct Without<'g> {
    pub told: Told<'g>,
    pub dead: Vec<Dead>,
    pub strings: Vec<Strings>,
    pub spares: Vec<Spare>,
    pub patch: Option<Patch>,
    /// So many presses are in reach.
    pub reach: u32,
    /// The search for nearest scenes was given up.
    pub stopped: bool,
}

/// Studies all parts, or one.
pub fn study<'g>(given: &Given<'g>, asked: &Asked) -> Without<'g> {
    let Given { book, table, wiring, route, .. } = *given;
    let columns = Columns::of(book, table);
    let none = Blow::default();
    let places = Places::of(book, given.presets);
    let plays = plays(book, &places, asked.set.as_deref());
    // Who asks for no other scene is told of what is played alone.
    let played: FxHashSet<SceneId> = plays.iter().map(|p| p.scene).collect();
    let asked_of = |scene: SceneId| asked.near || played.contains(&scene);
    let hear = |scene: SceneId| if asked_of(scene) { columns.hear(book, table, scene, &none) } else { Vec::new() };
    let heard = book.show.scenes.ids().map(hear).collect();
    let told = Told { book, table, wiring, route, columns, plays, places, weights: asked.weights, heard };
    let mut search = near::Search::new(asked, budget::NEAREST);
    let mut dead: Vec<Dead> = Vec::new();
    let all = part::all(&book.board, wiring);
    for part in all.into_iter().filter(|part| asked.part.is_none_or(|only| only == *part)) {
        let struck = blow::of(&told, part);
        // What was found for another part holds for one with which the same dies.
        let same = |d: &&Dead| d.struck == struck && !matches!(struck, Struck::Presets(ref b) if *b == none);
        let known = dead.iter().find(same).map(|d| (d.part, d.hits.clone(), d.idle));
        let (like, (hits, idle)) = match (known, &struck) {
            (Some((like, hits, idle)), _) => (Some(like), (hits, idle)),
            (None, Struck::Presets(blow)) => (None, hits(&told, blow, &mut search)),
            (None, _) => (None, (Vec::new(), 0)),
        };
        let first = moves::first(&told, part, &struck, &hits);
        dead.push(Dead { part, like, struck, hits, idle, first });
    }
    let wants = |part: Part| asked.part.is_none_or(|only| only == part);
    let strings = strings::of(&told).into_iter().filter(|s| wants(Part::Guitar(s.guitar))).collect();
    let switcher = dead.iter().any(|d| d.struck == Struck::Switcher);
    let patch = switcher.then(|| patch::of(&told)).flatten();
    let spares = if asked.part.is_none() { spares::order(&told, &dead) } else { Vec::new() };
    Without { dead, strings, spares, patch, reach: asked.reach, stopped: search.stopped, told }
}

/// The parts that are played, each with its slot, once; a part that two sets play from two slots, twice.
fn plays(book: &Book, places: &Places, set: Option<&str>) -> Vec<Play> {
    let wanted = set.map(title_key);
    let wakes = book.board.timing.wakes.map(|w| w.value);
    let asked = |run: &Run| wanted.as_ref().is_none_or(|wanted| title_key(run.title(book)) == *wanted);
    let (mut out, mut seen) = (Vec::new(), BTreeSet::new());
    for run in ways::runs(book).iter().filter(|run| asked(run)) {
        let songs: Vec<(SongId, &Song)> =
            run.songs.iter().filter_map(|(s, _)| Some((*s, book.show.songs.get(*s)?))).collect();
        let mut path = places.path(wakes, songs.iter().map(|(_, song)| *song)).into_iter();
        for (song, of) in songs {
            for (part, slot) in of
                .parts
                .iter()
                .enumerate()
                .map(|(at, p)| (at, p, path.next().flatten()))
                .filter_map(|(at, part, slot)| Some(((at, part.scene?), slot)))
            {
                let play = Play { song, part: part.0, scene: part.1, slot };
                if seen.insert(play) {
                    out.push(play);
                }
            }
        }
    }
    out
}

/// Every preset that a blow touches, and how many scenes besides.
fn hits(told: &Told<'_>, blow: &Blow, search: &mut near::Search) -> (Vec<Hit>, usize) {
    let Told { book, table, columns, .. } = told;
    let hear = |scene: SceneId| columns.hear(book, table, scene, blow);
    let mut touched: FxHashMap<SceneId, Vec<Mark>> = FxHashMap::default();
    for scene in book.show.scenes.ids().filter(|s| !told.heard(*s).is_empty()) {
        let now = hear(scene);
        if now != told.heard(scene) {
            touched.insert(scene, now);
        }
    }
    let on_it = |play: &Play| {
        blow.guitar.is_none_or(|g| {
            book.show.songs.get(play.song).and_then(|s| s.guitar_of(s.parts.get(play.part)?)) == Some(g)
        })
    };
    let mut at: FxHashMap<(SceneId, Option<Slot>), usize> = FxHashMap::default();
    let mut out: Vec<Hit> = Vec::new();
    let mut hit = |out: &mut Vec<Hit>, scene: SceneId, slot: Option<Slot>, now: &[Mark]| {
        *at.entry((scene, slot)).or_insert_with(|| {
            let meant = told.heard(scene);
            let silent = now.iter().all(|mark| *mark == Mark::Out);
            let loss = told.distance(meant, now);
            let none = Vec::new();
            out.push(Hit { scene, slot, plays: none, loss, silent, near: None, quick: None, own: Vec::new() });
            out.len() - 1
        })
    };
    for (number, play) in told.plays.iter().enumerate().filter(|(_, play)| on_it(play)) {
        let Some(now) = touched.get(&play.scene) else { continue };
        let at = hit(&mut out, play.scene, play.slot, now);
        out.get_mut(at).into_iter().for_each(|h| h.plays.push(number));
    }
    let mut scenes: Vec<SceneId> = touched.keys().copied().collect();
    scenes.sort_unstable();
    let mut stored: Vec<(Slot, SceneId)> = Vec::new();
    let mut idle = BTreeSet::new();
    for scene in scenes.iter().filter(|_| blow.guitar.is_none()) {
        let slots = told.places.all(*scene);
        stored.extend(slots.iter().map(|(_, slot)| (*slot, *scene)));
        if slots.is_empty() && !told.plays.iter().any(|p| p.scene == *scene) {
            idle.insert(book.show.base(*scene));
        }
    }
    stored.sort_unstable();
    for (slot, scene) in stored {
        if let Some(now) = touched.get(&scene) {
            hit(&mut out, scene, Some(slot), now);
        }
    }
    idle.retain(|scene| book.show.scene(*scene).is_some_and(|s| !s.repeated));
    search.look(told, blow, &touched, &mut out);
    (out, idle.len())
}
