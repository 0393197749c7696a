//! The show: what is played on a board, and where it is stored.

use super::inside::{Again, Press};
use super::{Amount, Layer, Part, PartAt, Saying, SayingRange, Scene, Set, Slot, Song, Spanned};
use crate::ids::{DeviceId, LayerId, Numbered, SayingId, SceneId, SongId};
use crate::source::Span;
use rustc_hash::FxHashMap;

/// A fallback: what a scene becomes when a part fails.
#[derive(Clone, Debug)]
pub struct Fallback {
    /// The pedal that fails, as an index of `devices`.
    pub device: Option<DeviceId>,
    /// The scene that cannot be played then.
    pub scene: Option<SceneId>,
    /// The scene to press instead.
    pub becomes: Option<SceneId>,
    /// Where it is said.
    pub at: Span,
}

/// Sayings that no scene makes, but the songs that play it: at the end of all sayings, below every rank.
#[derive(Clone, Debug, Default)]
pub struct Played {
    /// By scene; empty where no pedal takes a tempo from a preset.
    pub by_scene: Numbered<SceneId, SayingRange>,
    /// The first of them, and the song of each.
    pub first: SayingId,
    pub songs: Vec<SongId>,
}

/// A whole show.
#[derive(Clone, Debug, Default)]
pub struct Show {
    /// What every scene has unless it says otherwise.
    pub default: SayingRange,
    /// Something that the default says, or a statement that may be one, could not be understood: what nobody seems to
    /// settle, it may.
    pub default_faulty: bool,
    /// Layers.
    pub layers: Numbered<LayerId, Layer>,
    /// Scenes, in the order read.
    pub scenes: Numbered<SceneId, Scene>,
    /// All sayings, in one list; a [`SayingRange`] is a stretch of it.
    pub sayings: Numbered<SayingId, Saying>,
    /// What levels were said to be, each with its saying; in that order.
    pub amounts: Vec<(SayingId, Amount)>,
    /// What songs say of the tempo of pedals.
    pub played: Played,
    /// From where to where a treadle moves a level, each with its saying; in that order.
    pub ways: Vec<(SayingId, (Amount, Amount))>,
    /// The layers that scenes mix in, in one list.
    pub mixed: Vec<(LayerId, Span)>,
    /// Songs.
    pub songs: Numbered<SongId, Song>,
    /// Sets.
    pub sets: Vec<Set>,
    /// Nothing is played but the sets: a song in none stays at home.
    pub sets_alone: bool,
    /// Slots said for a scene.
    pub pins: Vec<(Slot, SceneId, Span)>,
    /// Scenes named by what a mistake left out: a slot that is not there, a second song of one title.
    pub mentioned: Vec<SceneId>,
    /// True when scenes without a pin take the free slots.
    pub auto: bool,
    /// Where slots are laid out, if anywhere.
    pub slots_at: Option<Span>,
    /// The slot that is always right to press.
    pub safe: Option<Spanned<Slot>>,
    /// Ways out when a part fails.
    pub fallbacks: Vec<Fallback>,
    /// What switches do inside presets.
    pub presses: Vec<Press>,
    /// Second rows, by scene.
    pub again: Vec<Again>,
    /// For each scene whose switches move something: itself with some of them pressed.
    pub combinations: FxHashMap<SceneId, Vec<SceneId>>,
    /// For each second row the scene whose switch calls it.
    pub first_of: FxHashMap<SceneId, SceneId>,
}

impl Show {
    /// The sayings of a scene, a layer or the default.
    pub fn said(&self, mix: SayingRange) -> &[Saying] {
        self.sayings.stretch(mix.from, mix.to)
    }

    /// What songs say while they play a scene: with switches pressed those parts alone that press them.
    pub fn played(&self, scene: SceneId) -> SayingRange {
        self.played.by_scene.get(scene).copied().unwrap_or_default()
    }

    /// The song that says it, where no scene does.
    pub fn played_by(&self, saying: SayingId) -> Option<SongId> {
        self.played.songs.get(saying.index().checked_sub(self.played.first.index())?).copied()
    }

    /// What a saying says of a level, or of an expression port.
    pub fn amount(&self, saying: SayingId) -> Option<Amount> {
        let at = self.amounts.binary_search_by_key(&saying, |(of, _)| *of).ok()?;
        self.amounts.get(at).map(|(_, amount)| *amount)
    }

    /// What a saying says of a level that a treadle moves: its amounts with the heel down and with the toe down.
    pub fn way(&self, saying: SayingId) -> Option<(Amount, Amount)> {
        let at = self.ways.binary_search_by_key(&saying, |(of, _)| *of).ok()?;
        self.ways.get(at).map(|(_, way)| *way)
    }

    /// The layers that a scene mixes in, each with the place that says so.
    pub fn layers_of(&self, scene: &Scene) -> &[(LayerId, Span)] {
        self.mixed.get(scene.layers.0 as usize..scene.layers.1 as usize).unwrap_or(&[])
    }

    /// The scenes that stand in for one when a part fails, and for those when another does too.
    pub fn stand_ins(&self, scene: SceneId) -> Vec<SceneId> {
        let mut out = Vec::new();
        let mut from = scene;
        let mut next = 0;
        while !self.fallbacks.is_empty() {
            let ways = self.fallbacks.iter().filter(|way| way.device.is_some() && way.scene == Some(from));
            for to in ways.filter_map(|way| way.becomes) {
                if to != scene && !out.contains(&to) {
                    out.push(to);
                }
            }
            let Some(further) = out.get(next) else { break };
            (from, next) = (*further, next + 1);
        }
        out
    }

    /// A scene by number.
    pub fn scene(&self, id: SceneId) -> Option<&Scene> {
        self.scenes.get(id)
    }

    /// A part, with its song.
    pub fn part(&self, (song, part): PartAt) -> Option<(&Song, &Part)> {
        let song = self.songs.get(song)?;
        Some((song, song.parts.get(part as usize)?))
    }

    /// The sets in the order that outputs use: by name.
    pub fn sets_by_name(&self) -> Vec<&Set> {
        let mut sets: Vec<&Set> = self.sets.iter().collect();
        sets.sort_by(|a, b| a.title.cmp(&b.title));
        sets
    }

    /// The songs by title.
    pub fn songs_by_name(&self) -> Vec<&Song> {
        let mut songs: Vec<&Song> = self.songs.iter().collect();
        songs.sort_by(|a, b| a.title.cmp(&b.title));
        songs
    }
}
