//! How much louder a change makes things, as far as the gains of switched pedals tell.

use super::Change;
use crate::book::{Book, Device};

/// A step in level.
#[derive(Clone, PartialEq, Debug, Default)]
pub enum LevelStep {
    /// Nothing was said about what came before.
    #[default]
    Start,
    /// By so many dB: the gains that come in, less those that go out. Controls and volumes are not in it.
    Db(f64),
    /// Not known: these devices state no gain.
    Missing(Vec<u16>),
}

/// A device's gain in dB, when stated or measured.
pub fn gain_of(device: &Device) -> Option<f64> {
    device.electric.gain.map(|g| g.level.value.value())
}

pub(super) fn step(book: &Book, change: &mut Change) {
    let (mut sum, mut missing) = (0.0, Vec::new());
    for (index, on) in change.moved(&book.board) {
        match book.board.devices.get(usize::from(index)).and_then(gain_of) {
            Some(gain) => sum += if on { gain } else { -gain },
            None => missing.push(index),
        }
    }
    change.level = if missing.is_empty() { LevelStep::Db(sum) } else { LevelStep::Missing(missing) };
}
