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
    for (number, on) in &change.loops {
        let found = book.board.devices.iter().enumerate().find(|(_, d)| d.loop_at.is_some_and(|l| l.value == *number));
        let Some((index, device)) = found else { continue };
        match gain_of(device) {
            Some(gain) => sum += if *on { gain } else { -gain },
            None => missing.push(index as u16),
        }
    }
    change.level = if missing.is_empty() { LevelStep::Db(sum) } else { LevelStep::Missing(missing) };
}
