//! Which scene, song, set or pedal of the old book is which of the new one.

use rustc_hash::FxHashMap;

use crate::Compiled;
use crate::book::song::title_key;

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
}

/// Pairs by `was`, then by name.
pub fn by_name(old: &Compiled, new: &Compiled) -> Matched {
    let (a, b) = (&old.book, &new.book);
    Matched {
        scenes: scenes(old, new),
        devices: named(a.devices.iter().map(|d| &d.name), b.devices.iter().map(|d| &d.name)),
        songs: named(a.songs.iter().map(|s| title_key(&s.title)), b.songs.iter().map(|s| title_key(&s.title))),
        sets: named(a.sets.iter().map(|s| title_key(&s.title)), b.sets.iter().map(|s| title_key(&s.title))),
    }
}

fn scenes(old: &Compiled, new: &Compiled) -> Pairs {
    let (a, b) = (&old.book.scenes, &new.book.scenes);
    let mut pairs = Pairs::empty(a.len(), b.len());
    let known: FxHashMap<&str, u32> =
        a.iter().enumerate().filter(|(_, s)| !s.double).map(|(id, s)| (&*s.name, id as u32)).collect();
    for (id, scene) in b.iter().enumerate().filter(|(_, s)| !s.double) {
        let was = new.files.text(scene.was);
        if let Some(from) = known.get(was).filter(|_| !was.is_empty()) {
            pairs.join(*from, id as u32);
        }
    }
    for (id, scene) in b.iter().enumerate().filter(|(_, s)| !s.double) {
        if let Some(from) = known.get(&*scene.name) {
            pairs.join(*from, id as u32);
        }
    }
    pairs
}

fn named<T: AsRef<str>>(old: impl ExactSizeIterator<Item = T>, new: impl ExactSizeIterator<Item = T>) -> Pairs {
    let mut pairs = Pairs::empty(old.len(), new.len());
    let mut known: FxHashMap<String, u32> = FxHashMap::default();
    for (id, name) in old.enumerate() {
        known.entry(name.as_ref().to_owned()).or_insert(id as u32);
    }
    for (id, name) in new.enumerate() {
        if let Some(from) = known.get(name.as_ref()) {
            pairs.join(*from, id as u32);
        }
    }
    pairs
}
