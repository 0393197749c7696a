//! Which scene, song, set or pedal of the old book is which of the new one.

use std::cell::LazyCell;
use std::hash::Hash;

use rustc_hash::{FxBuildHasher, FxHashMap};

use super::sound::{Ear, Fact, ears};
use super::{alike, assign};
use crate::Compiled;
use crate::book::song::title_key;
use crate::book::{Device, Song};

/// Two lists of things, paired.
#[derive(Clone, Debug, Default)]
pub struct Pairs {
    /// For each of the old: its partner.
    pub to_new: Vec<Option<u32>>,
    /// For each of the new: its partner.
    pub to_old: Vec<Option<u32>>,
}

impl Pairs {
    /// Nothing paired yet.
    pub fn empty(old: usize, new: usize) -> Pairs {
        Pairs { to_new: vec![None; old], to_old: vec![None; new] }
    }

    /// Pairs two, unless one of them is taken.
    pub fn join(&mut self, old: u32, new: u32) -> bool {
        match (self.to_new.get_mut(old as usize), self.to_old.get_mut(new as usize)) {
            (Some(a), Some(b)) if a.is_none() && b.is_none() => {
                (*a, *b) = (Some(new), Some(old));
                true
            }
            _ => false,
        }
    }

    /// The partner of an old one.
    pub fn new_of(&self, old: u32) -> Option<u32> {
        self.to_new.get(old as usize).copied().flatten()
    }

    /// The partner of a new one.
    pub fn old_of(&self, new: u32) -> Option<u32> {
        self.to_old.get(new as usize).copied().flatten()
    }

    /// The old ones without a partner.
    pub fn lone_old(&self) -> impl Iterator<Item = u32> {
        lone(&self.to_new)
    }

    /// The new ones without a partner.
    pub fn lone_new(&self) -> impl Iterator<Item = u32> {
        lone(&self.to_old)
    }
}

fn lone(list: &[Option<u32>]) -> impl Iterator<Item = u32> {
    list.iter().enumerate().filter(|(_, to)| to.is_none()).map(|(id, _)| id as u32)
}

/// Everything that has a name in both books.
#[derive(Clone, Debug, Default)]
pub struct Matched {
    /// Scenes; one that is there twice under one name has no partner.
    pub scenes: Pairs,
    /// Pedals, buffers and amps.
    pub devices: Pairs,
    /// Songs.
    pub songs: Pairs,
    /// Sets.
    pub sets: Pairs,
    /// Pairs found by their content alone.
    pub renamed: Vec<Renamed>,
    /// Kinds of which so many were left over that the most alike were paired first, not the best of all pairings.
    pub greedy: Vec<&'static str>,
}

/// How two books are matched.
#[derive(Clone, Copy, Debug)]
pub struct Matching {
    /// Look for renames by content; else only `was` and names count.
    pub renames: bool,
}

/// A rename that nobody stated.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Renamed {
    /// `pedal`, `scene`, `song` or `set`.
    pub kind: &'static str,
    /// The old name.
    pub was: String,
    /// The new name.
    pub now: String,
    /// How alike, in thousandths.
    pub likeness: u32,
}

/// Pairs by `was`, then by name, then what is most alike.
pub fn matched(old: &Compiled, new: &Compiled, how: Matching) -> Matched {
    let (a, b) = (&old.book, &new.book);
    let mut out = Matched {
        scenes: scenes(old, new),
        devices: named(a.devices.iter().map(|d| &d.name), b.devices.iter().map(|d| &d.name)),
        songs: named(a.songs.iter().map(|s| title_key(&s.title)), b.songs.iter().map(|s| title_key(&s.title))),
        sets: named(a.sets.iter().map(|s| title_key(&s.title)), b.sets.iter().map(|s| title_key(&s.title))),
        ..Matched::default()
    };
    if !how.renames {
        return out;
    }
    let (was, now) = (&a.devices, &b.devices);
    let likeness = |x: u32, y: u32| match (was.get(x as usize), now.get(y as usize)) {
        (Some(x), Some(y)) => alike::devices(old, x, new, y),
        _ => 0,
    };
    let name = |list: &[Device], at: u32| list.get(at as usize).map_or(String::new(), |d| d.name.clone());
    let mut pairs = std::mem::take(&mut out.devices);
    leftover(&mut pairs, "pedal", &|at| name(was, at), &|at| name(now, at), &likeness, &mut out);
    out.devices = pairs;

    renamed_scenes(old, new, &mut out);

    let (was, now) = (&a.songs, &b.songs);
    let mut pairs = std::mem::take(&mut out.songs);
    let known = std::mem::take(&mut out.scenes);
    let likeness = |x: u32, y: u32| match (was.get(x as usize), now.get(y as usize)) {
        (Some(x), Some(y)) => alike::songs(x, y, &known),
        _ => 0,
    };
    let name = |list: &[Song], at: u32| list.get(at as usize).map_or(String::new(), |s| s.title.to_string());
    leftover(&mut pairs, "song", &|at| name(was, at), &|at| name(now, at), &likeness, &mut out);
    (out.songs, out.scenes) = (pairs, known);
    out.renamed.sort();
    out
}

/// Scenes that were renamed without saying so.
fn renamed_scenes(old: &Compiled, new: &Compiled, out: &mut Matched) {
    if out.scenes.lone_old().next().is_none() || out.scenes.lone_new().next().is_none() {
        return;
    }
    let (left, right) = ears(old, new, &out.devices);
    let heard = |ear: &Ear<'_>, ids: &mut dyn Iterator<Item = u32>| -> FxHashMap<u32, Vec<Fact>> {
        ids.map(|id| (id, ear.listen(id))).collect()
    };
    let was = heard(&left, &mut out.scenes.lone_old().filter(|id| !double(old, *id)));
    let now = heard(&right, &mut out.scenes.lone_new().filter(|id| !double(new, *id)));
    // Played in songs, but in none that both books have: a scene that went and one that came, however alike.
    let (there, here) = (songs_of(old, &|song| out.songs.new_of(song)), songs_of(new, &|song| Some(song)));
    let apart = |x: u32, y: u32| match (there.get(&x), here.get(&y)) {
        (Some(a), Some(b)) => !a.iter().any(|song| song.is_some() && b.contains(song)),
        _ => false,
    };
    let likeness = |x: u32, y: u32| match (was.get(&x), now.get(&y)) {
        (Some(a), Some(b)) if !apart(x, y) => alike::scenes(a, b),
        _ => 0,
    };
    let name = |c: &Compiled, at: u32| c.book.scene(at).map_or(String::new(), |s| s.name.to_string());
    let mut pairs = std::mem::take(&mut out.scenes);
    leftover(&mut pairs, "scene", &|at| name(old, at), &|at| name(new, at), &likeness, out);
    out.scenes = pairs;
}

/// For each scene that songs play: those songs, by a number that both books share; None for a song of one book alone.
fn songs_of(compiled: &Compiled, shared: &dyn Fn(u32) -> Option<u32>) -> FxHashMap<u32, Vec<Option<u32>>> {
    let mut out: FxHashMap<u32, Vec<Option<u32>>> = FxHashMap::default();
    for (id, song) in compiled.book.songs.iter().enumerate() {
        for scene in song.parts.iter().filter_map(|p| p.scene) {
            out.entry(scene).or_default().push(shared(id as u32));
        }
    }
    out
}

fn double(compiled: &Compiled, scene: u32) -> bool {
    compiled.book.scene(scene).is_none_or(|s| s.double)
}

/// Pairs what is left over by likeness: the best pairing while few are left, else the most alike first.
fn leftover(
    pairs: &mut Pairs,
    kind: &'static str,
    old_name: &dyn Fn(u32) -> String,
    new_name: &dyn Fn(u32) -> String,
    likeness: &dyn Fn(u32, u32) -> u32,
    out: &mut Matched,
) {
    // By name, so that the order of the files does not decide between pairings that are equally good.
    let sorted = |ids: &mut dyn Iterator<Item = u32>, name: &dyn Fn(u32) -> String| {
        let mut ids: Vec<(String, u32)> = ids.map(|id| (name(id), id)).collect();
        ids.sort();
        ids
    };
    let was = sorted(&mut pairs.lone_old(), old_name);
    let now = sorted(&mut pairs.lone_new(), new_name);
    if was.is_empty() || now.is_empty() {
        return;
    }
    let table: Vec<Vec<u32>> = was.iter().map(|(_, x)| now.iter().map(|(_, y)| likeness(*x, *y)).collect()).collect();
    let chosen = if was.len().max(now.len()) <= assign::MOST {
        assign::best(&table)
    } else {
        out.greedy.push(kind);
        assign::greedy(&table)
    };
    for (x, y) in chosen {
        let worth = table.get(x).and_then(|row| row.get(y)).copied().unwrap_or(0);
        if let (Some((was, x)), Some((now, y))) = (was.get(x), now.get(y))
            && pairs.join(*x, *y)
        {
            out.renamed.push(Renamed { kind, was: was.clone(), now: now.clone(), likeness: worth });
        }
    }
}

fn scenes(old: &Compiled, new: &Compiled) -> Pairs {
    let (a, b) = (&old.book.scenes, &new.book.scenes);
    let mut pairs = Pairs::empty(a.len(), b.len());
    let known = LazyCell::new(|| {
        let mut known: FxHashMap<&str, u32> = FxHashMap::with_capacity_and_hasher(a.len(), FxBuildHasher);
        known.extend(a.iter().enumerate().filter(|(_, s)| !s.double).map(|(id, s)| (&*s.name, id as u32)));
        known
    });
    let mut renamed: Vec<(&str, u32, &str)> = b
        .iter()
        .enumerate()
        .filter(|(_, s)| !s.double && s.was.end > s.was.start)
        .map(|(id, s)| (&*s.name, id as u32, new.files.text(s.was)))
        .collect();
    // Of two that claim one name, the first by the alphabet was it.
    renamed.sort_unstable();
    for (name, id, was) in renamed {
        // What the old book says in the same words happened before the old book.
        let before = |at: &u32| a.get(*at as usize).is_some_and(|s| old.files.text(s.was) == was);
        if let Some(from) = known.get(was).filter(|_| !known.get(name).is_some_and(before)) {
            pairs.join(*from, id);
        }
    }
    for (id, scene) in b.iter().enumerate().filter(|(_, s)| !s.double) {
        // Most scenes stand where they stood.
        let same = a.get(id).is_some_and(|s| !s.double && s.name == scene.name);
        if let Some(from) = if same { Some(id as u32) } else { known.get(&*scene.name).copied() } {
            pairs.join(from, id as u32);
        }
    }
    pairs
}

fn named<T: Eq + Hash>(old: impl ExactSizeIterator<Item = T>, new: impl ExactSizeIterator<Item = T>) -> Pairs {
    let mut pairs = Pairs::empty(old.len(), new.len());
    let mut known: FxHashMap<T, u32> = FxHashMap::with_capacity_and_hasher(old.len(), FxBuildHasher);
    for (id, name) in old.enumerate() {
        known.entry(name).or_insert(id as u32);
    }
    for (id, name) in new.enumerate() {
        if let Some(from) = known.get(&name) {
            pairs.join(*from, id as u32);
        }
    }
    pairs
}
