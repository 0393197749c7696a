//! Two compiled books: what is heard differently, and what must be reprogrammed. Knows nothing of files.

mod align;
pub mod edits;
pub mod heard;
pub mod pairs;
pub mod said;
pub mod sets;
pub mod sound;
pub mod stored;

use crate::Compiled;
use crate::book::Slot;
use heard::{Listener, SceneTurn, SongTurn};
use pairs::Matched;
use said::{Area, Stated};
use sets::SetTurn;

/// Everything that differs between two books.
pub struct Comparison<'c> {
    /// The book as it was.
    pub old: &'c Compiled,
    /// The book as it is.
    pub new: &'c Compiled,
    /// What is what.
    pub matched: Matched,
    /// Songs that differ: heard.
    pub songs: Vec<SongTurn>,
    /// Scenes that differ: heard.
    pub scenes: Vec<SceneTurn>,
    /// Slots that differ: reprogrammed.
    pub work: Vec<edits::Work>,
    /// Slots that nothing fills any more, and the old scene in each.
    pub emptied: Vec<(Slot, u32)>,
    /// Hardware, knobs and rules that differ.
    pub stated: Vec<Stated>,
    /// Sets that differ.
    pub sets: Vec<SetTurn>,
}

/// Compares two books.
pub fn compare<'c>(old: &'c Compiled, new: &'c Compiled) -> Comparison<'c> {
    let matched = pairs::by_name(old, new);
    let mut listener = Listener::new(old, new, &matched);
    let (songs, scenes) = (listener.songs(&matched), listener.scenes(&matched));
    let filled: std::collections::BTreeSet<Slot> = stored::memory(new).iter().map(|s| s.slot).collect();
    let emptied = stored::memory(old).iter().filter(|s| !filled.contains(&s.slot)).map(|s| (s.slot, s.scene)).collect();
    Comparison {
        work: edits::work(old, new),
        emptied,
        stated: said::differences(old, new, &matched),
        sets: sets::differences(old, new, &matched),
        songs,
        scenes,
        old,
        new,
        matched,
    }
}

impl Comparison<'_> {
    /// True when nothing differs that anybody hears, programs, wires or plays.
    pub fn same(&self) -> bool {
        self.songs.is_empty()
            && self.scenes.is_empty()
            && self.work.is_empty()
            && self.emptied.is_empty()
            && self.stated.is_empty()
            && self.sets.is_empty()
    }

    /// The statements of one area that differ.
    pub fn of(&self, area: Area) -> impl Iterator<Item = &Stated> {
        self.stated.iter().filter(move |s| s.area == area)
    }
}
