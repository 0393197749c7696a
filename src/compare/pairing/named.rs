//! Things that go by one name, or that say what they were called.

use std::cell::LazyCell;
use std::hash::Hash;

use rustc_hash::{FxBuildHasher, FxHashMap};

use super::pairs::Pairs;
use crate::Compiled;
use crate::ids::{Id, SceneId};

/// Scenes by `was`, then by name.
pub(super) fn scenes(old: &Compiled, new: &Compiled) -> Pairs<SceneId> {
    let (a, b) = (&old.book.show.scenes, &new.book.show.scenes);
    let mut pairs = Pairs::empty(a.len(), b.len());
    let known = LazyCell::new(|| {
        let mut known: FxHashMap<&str, SceneId> = FxHashMap::with_capacity_and_hasher(a.len(), FxBuildHasher);
        known.extend(a.pairs().filter(|(_, s)| !s.repeated).map(|(id, s)| (&*s.name, id)));
        known
    });
    let mut renamed: Vec<(&str, SceneId, &str)> = b
        .pairs()
        .filter(|(_, s)| !s.repeated && s.was.end > s.was.start)
        .map(|(id, s)| (&*s.name, id, new.files.text(s.was)))
        .collect();
    // Of two that claim one name, the first by the alphabet was it.
    renamed.sort_unstable();
    for (name, id, was) in renamed {
        // What the old book says in the same words happened before the old book.
        let before = |at: &SceneId| a.get(*at).is_some_and(|s| old.files.text(s.was) == was);
        if let Some(from) = known.get(was).filter(|_| !known.get(name).is_some_and(before)) {
            pairs.join(*from, id);
        }
    }
    for (id, scene) in b.pairs().filter(|(_, s)| !s.repeated) {
        // Most scenes stand where they stood.
        let same = a.get(id).is_some_and(|s| !s.repeated && s.name == scene.name);
        if let Some(from) = if same { Some(id) } else { known.get(&*scene.name).copied() } {
            pairs.join(from, id);
        }
    }
    pairs
}

/// Things by their name.
pub(super) fn named<I: Id, T: Eq + Hash>(
    old: impl ExactSizeIterator<Item = T>,
    new: impl ExactSizeIterator<Item = T>,
) -> Pairs<I> {
    let mut pairs = Pairs::empty(old.len(), new.len());
    let mut known: FxHashMap<T, I> = FxHashMap::with_capacity_and_hasher(old.len(), FxBuildHasher);
    for (id, name) in old.enumerate() {
        known.entry(name).or_insert(I::nth(id));
    }
    for (id, name) in new.enumerate() {
        if let Some(from) = known.get(&name) {
            pairs.join(*from, I::nth(id));
        }
    }
    pairs
}
