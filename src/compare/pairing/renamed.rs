//! Scenes that were renamed without saying so.

use rustc_hash::FxHashMap;

use super::alike;
use super::leftover::leftover;
use super::matched::{Matched, Paired};
use crate::Compiled;
use crate::compare::sound::{self, Fact, Sound};
use crate::ids::{SceneId, SongId};

/// Pairs them by what they sound like.
pub(super) fn scenes(old: &Compiled, new: &Compiled, out: &mut Matched) {
    if out.scenes.lone_old().next().is_none() || out.scenes.lone_new().next().is_none() {
        return;
    }
    let (left, right) = sound::both(old, new, &out.devices.to_new);
    let heard = |sound: &Sound<'_>, ids: &mut dyn Iterator<Item = SceneId>| -> FxHashMap<SceneId, Vec<Fact>> {
        ids.map(|id| (id, sound.of(id))).collect()
    };
    let was = heard(&left, &mut out.scenes.lone_old().filter(|id| !repeated(old, *id)));
    let now = heard(&right, &mut out.scenes.lone_new().filter(|id| !repeated(new, *id)));
    // Played in songs, but in none that both books have: a scene that went and one that came, however alike.
    let (there, here) = (songs_of(old, &|song| out.songs.new_of(song)), songs_of(new, &|song| Some(song)));
    let apart = |x: SceneId, y: SceneId| match (there.get(&x), here.get(&y)) {
        (Some(a), Some(b)) => !a.iter().any(|song| song.is_some() && b.contains(song)),
        _ => false,
    };
    let likeness = |x: SceneId, y: SceneId| match (was.get(&x), now.get(&y)) {
        (Some(a), Some(b)) if !apart(x, y) => alike::scenes(a, b),
        _ => 0,
    };
    let name = |c: &Compiled, at: SceneId| c.book.show.scene(at).map_or(String::new(), |s| s.name.to_string());
    let mut pairs = std::mem::take(&mut out.scenes);
    leftover(&mut pairs, Paired::Scene, &|at| name(old, at), &|at| name(new, at), &likeness, out);
    out.scenes = pairs;
}

/// For each scene that songs play: those songs, by a number that both books share; None for a song of one book alone.
fn songs_of(compiled: &Compiled, shared: &dyn Fn(SongId) -> Option<SongId>) -> FxHashMap<SceneId, Vec<Option<SongId>>> {
    let mut out: FxHashMap<SceneId, Vec<Option<SongId>>> = FxHashMap::default();
    for (id, song) in compiled.book.show.songs.pairs() {
        for scene in song.parts.iter().filter_map(|p| p.scene) {
            out.entry(scene).or_default().push(shared(id));
        }
    }
    out
}

fn repeated(compiled: &Compiled, scene: SceneId) -> bool {
    compiled.book.show.scene(scene).is_none_or(|s| s.repeated)
}
