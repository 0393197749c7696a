//! Which scene, song, set or pedal of the old book is which of the new one.

use super::pairs::Pairs;
use crate::ids::{DeviceId, SceneId, SongId};

/// Everything that has a name in both books.
#[derive(Clone, Debug, Default)]
pub struct Matched {
    /// Scenes; one that is there twice under one name has no partner.
    pub scenes: Pairs<SceneId>,
    /// Pedals, buffers and amps.
    pub devices: Pairs<DeviceId>,
    /// Songs.
    pub songs: Pairs<SongId>,
    /// Sets.
    pub sets: Pairs<usize>,
    /// Pairs found by their content alone.
    pub renamed: Vec<Renamed>,
    /// Kinds of which so many were left over that the most alike were paired first, not the best of all pairings.
    pub greedy: Vec<Paired>,
}

/// A rename that nobody stated.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Renamed {
    /// What it is.
    pub kind: Paired,
    /// The old name.
    pub was: String,
    /// The new name.
    pub now: String,
    /// How alike, in thousandths.
    pub likeness: u32,
}

/// What is recognised under another name.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Paired {
    /// A pedal, buffer or amp.
    Device,
    Scene,
    Song,
    Set,
}
