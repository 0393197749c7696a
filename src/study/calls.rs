//! What calls the presets from outside: the program of each slot, and what is sent at each part of a song.

use crate::book::{Board, Call, Slot, Song};
use crate::fill::{Places, Preset};

/// A part that is called from outside.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Called {
    /// Its place in the song.
    pub part: usize,
    /// The slot that it calls.
    pub slot: Slot,
    /// What calls it.
    pub call: Call,
    /// The part before it was called from the same slot: nothing is sent, as no foot would press.
    pub stays: bool,
}

/// The parts of a song that are called, in their order.
pub fn of_song(board: &Board, places: &Places, song: &Song) -> Vec<Called> {
    let slots = places.called(song);
    let before = std::iter::once(None).chain(slots.iter().copied());
    let parts = slots.iter().zip(before).enumerate();
    let called = |(part, (slot, before)): (usize, (&Option<Slot>, Option<Slot>))| {
        let slot = (*slot)?;
        Some(Called { part, slot, call: board.call(slot)?, stays: before == Some(slot) })
    };
    parts.filter_map(called).collect()
}

/// Slots in which nothing stands: a program that calls one finds nothing. None where the switcher has no slots.
pub fn empty(board: &Board, presets: &[Preset]) -> Option<Vec<Slot>> {
    let range = board.switcher.as_ref()?.slots?;
    let held: Vec<Slot> = presets.iter().filter_map(|preset| preset.slot).collect();
    Some(range.all().filter(|slot| held.binary_search(slot).is_err()).collect())
}
