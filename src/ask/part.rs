//! Parts and scenes by the words of a player: `summit`, `1.2`, `bridge`, `the bridge of Ferry Without Bells`.

use smol_str::SmolStr;

use super::{Found, holds, words};
use crate::Compiled;
use crate::book::song::title_key;
use crate::book::{PartAt, Slot};
use crate::ids::{SceneId, SongId};

/// Where a question points: a scene, and the part that plays it when one was named.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Spot {
    /// The scene.
    pub scene: SceneId,
    /// The song, and the part of it.
    pub part: Option<PartAt>,
}

/// Why words point nowhere.
#[derive(Clone, PartialEq, Debug)]
pub enum NoSpot {
    /// No scene, slot or part is called so.
    Nothing,
    /// No song is called so.
    Song(String),
    /// Several songs are: their titles.
    Songs(Vec<String>),
    /// The song (an index) has no such part.
    Part(SongId, String),
}

/// A scene by its name, else by its slot; capitals count only where two names differ by them.
pub fn scene(compiled: &Compiled, name: &str) -> Option<SceneId> {
    let show = &compiled.book.show;
    let scenes = || show.scenes.numbered().filter(|(s, _)| !s.repeated || s.pressed != 0);
    let named = scenes().find(|(s, _)| *s.name == *name);
    let mut alike = scenes().filter(|(s, _)| s.name.to_lowercase() == name.to_lowercase());
    let alone = alike.next().filter(|_| alike.next().is_none());
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let slot = range.and_then(|r| r.read(name));
    // With switches pressed there, as sheets show it.
    let pressed = || {
        let shown = |id: &&SceneId, first: Slot| {
            let pressed = show.pressed(**id);
            range.is_some_and(|r| r.show(Slot { pressed, ..first }) == name)
        };
        let mut stored = compiled.presets.iter().filter_map(|p| Some((p.scene, p.slot?)));
        stored.find_map(|(scene, first)| show.combinations(scene).iter().find(|id| shown(id, first)).copied())
    };
    let stored =
        || compiled.presets.iter().find(|p| slot.is_some() && p.slot == slot).map(|p| p.scene).or_else(pressed);
    named.or(alone).map(|(_, id)| id).or_else(stored)
}

/// Everything that some words point at: a scene, and the parts of that name, song by song.
pub fn spots(compiled: &Compiled, said: &str) -> Result<Vec<Spot>, NoSpot> {
    let said = said.trim();
    let mut found: Vec<Spot> = scene(compiled, said).map(|scene| Spot { scene, part: None }).into_iter().collect();
    let label = bare(said);
    for song in by_title(compiled) {
        found.extend(parts(compiled, song, label));
    }
    if !found.is_empty() {
        return Ok(found);
    }
    // Titles and parts may hold these words themselves.
    let splits = || [" of ", " in ", " from "].into_iter().flat_map(|word| cuts(said, word));
    let mut no = NoSpot::Nothing;
    for (label, title) in splits() {
        match song(compiled, title) {
            Found::One(song) => {
                let found = parts(compiled, song, bare(label));
                if !found.is_empty() {
                    return Ok(found);
                }
                no = NoSpot::Part(song, bare(label).to_owned());
            }
            Found::Several(several) => {
                let title = |s: &SongId| compiled.book.show.songs.get(*s).map(|s| s.title.to_string());
                no = NoSpot::Songs(several.iter().filter_map(title).collect());
            }
            Found::Nothing if no == NoSpot::Nothing => no = NoSpot::Song(title.trim().to_owned()),
            Found::Nothing => {}
        }
    }
    Err(no)
}

/// A song by its title, else by words of it.
pub fn song(compiled: &Compiled, said: &str) -> Found<SongId> {
    let key = title_key(said.trim().trim_matches('"'));
    let wanted = words(said);
    let songs = || compiled.book.show.songs.numbered();
    let exact = Found::of(songs().filter(|(s, _)| title_key(&s.title) == key).map(|(_, id)| id));
    if exact != Found::Nothing {
        return exact;
    }
    Found::of(songs().filter(|(s, _)| holds(&wanted, [s.title.as_str()])).map(|(_, id)| id))
}

/// The parts of a song with this label; where several play one scene, the first of them.
pub fn parts(compiled: &Compiled, song: SongId, label: &str) -> Vec<Spot> {
    let wanted: SmolStr = title_key(label);
    let mut found: Vec<Spot> = Vec::new();
    let parts = compiled.book.show.songs.get(song).map_or(&[][..], |s| &s.parts);
    for (part, at) in parts.iter().zip(0u32..).filter(|(p, _)| title_key(&p.label) == wanted) {
        if let Some(scene) = part.scene.filter(|scene| !found.iter().any(|f| f.scene == *scene)) {
            found.push(Spot { scene, part: Some((song, at)) });
        }
    }
    found
}

/// The songs by title, as indexes.
pub fn by_title(compiled: &Compiled) -> Vec<SongId> {
    let songs = &compiled.book.show.songs;
    let mut all: Vec<SongId> = songs.ids().collect();
    all.sort_by_key(|s| songs.get(*s).map(|s| &s.title));
    all
}

fn bare(label: &str) -> &str {
    let label = label.trim().trim_matches('"');
    label.split_once(' ').filter(|(word, _)| word.eq_ignore_ascii_case("the")).map_or(label, |(_, rest)| rest.trim())
}

/// Every way to cut a text in two at a word.
fn cuts<'t>(text: &'t str, word: &'static str) -> impl Iterator<Item = (&'t str, &'t str)> {
    text.match_indices(word).filter_map(move |(at, _)| Some((text.get(..at)?, text.get(at + word.len()..)?)))
}
