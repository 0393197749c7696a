//! What is heard differently, song by song and scene by scene.

mod align;
mod change;
mod listener;
mod notes;
mod order;
mod scenes;
mod songs;
mod tone;

pub(super) use align::parts;
pub use change::{Change, NoteSaid, PartChange, SceneChange, SongChange, SongFact, SongFactKind, Standing, What};
pub use tone::Tone;

use listener::Listener;
use songs::Songs;

use super::pairing::Matched;
use crate::Compiled;

/// The songs that differ, and the scenes. On a `board` that differs, scenes may sound different that say the same.
pub fn heard(old: &Compiled, new: &Compiled, matched: &Matched, board: bool) -> (Vec<SongChange>, Vec<SceneChange>) {
    let mut listener = Listener::new(old, new, matched, board);
    let songs = Songs { old, new, matched, listener: &mut listener }.all();
    (songs, scenes::scenes(old, new, matched, &mut listener))
}
