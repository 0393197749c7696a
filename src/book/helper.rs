//! A helper: a smaller unit whose loops the switcher's messages or contacts engage. Its loops are counted behind those of
//! the switcher, so that whoever asks for a loop need not know whose it is.

use super::Device;
use crate::ids::DeviceId;
use crate::source::Span;

/// So many loops has a helper at most: a bit each.
pub const MOST_LOOPS: u16 = 32;

/// What the switcher's messages or contacts choose.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Called {
    /// One of its presets, each a combination of its loops.
    Preset,
    /// Each loop by itself: it has a control for each.
    Loops,
}

/// A preset of a helper that the book gives a number.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Kept {
    /// Its number.
    pub preset: u16,
    /// The loops that it engages, a bit each.
    pub loops: u32,
    /// Where it is said.
    pub at: Span,
}

/// What a helper has beside what every device has.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Helper {
    /// The number of its first loop, counted behind those of the switcher and of helpers before it.
    pub first: u16,
    /// How many loops it has.
    pub loops: u16,
    /// What calls it; None where that could not be understood.
    pub called: Option<Called>,
    /// Its presets, the first number and how many; none where each loop is called by itself.
    pub presets: (u16, u16),
    /// Where its block ends, at the brace.
    pub end: Span,
    /// Those with a number of the book's, by number.
    pub kept: Vec<Kept>,
}

impl Helper {
    /// The number of a loop on the helper itself, from 1; None for a loop of another unit.
    pub fn own(&self, number: u16) -> Option<u16> {
        let own = number.checked_sub(self.first)? + 1;
        (own <= self.loops).then_some(own)
    }

    /// Its loops as the book counts them.
    pub fn numbers(&self) -> std::ops::Range<u16> {
        self.first..self.first + self.loops
    }

    /// The numbers of its presets.
    pub fn all(&self) -> std::ops::Range<u16> {
        self.presets.0..self.presets.0 + self.presets.1
    }
}

impl super::Board {
    /// The helpers, each with its device.
    pub fn helpers(&self) -> impl Iterator<Item = (DeviceId, &Device, &Helper)> {
        self.devices.pairs().filter_map(|(at, d)| Some((at, d, d.helper.as_deref()?)))
    }

    /// The helper that a loop is of, and the loop's number there.
    pub fn helper_of(&self, number: u16) -> Option<(DeviceId, &Device, u16)> {
        self.helpers().find_map(|(at, device, helper)| Some((at, device, helper.own(number)?)))
    }

    /// A loop as the book speaks of it: `loop 3`, `loop 2 of annex`.
    pub fn loop_says(&self, number: u16) -> String {
        match self.helper_of(number) {
            Some((_, device, own)) => format!("loop {own} of {}", device.name),
            None => format!("loop {number}"),
        }
    }

    /// A loop as one word: `3`, `annex 2`.
    pub fn loop_short(&self, number: u16) -> String {
        match self.helper_of(number) {
            Some((_, device, own)) => format!("{} {own}", device.name),
            None => number.to_string(),
        }
    }

    /// A loop's column in tables: `loop-3`, `annex-loop-2`.
    pub fn loop_column(&self, number: u16) -> String {
        match self.helper_of(number) {
            Some((_, device, own)) => format!("{}-loop-{own}", device.name),
            None => format!("loop-{number}"),
        }
    }

    /// The same loop of another board: of the switcher by its number, of a helper by the helper's name and its number there.
    pub fn same_loop(&self, other: &super::Board, number: u16) -> Option<u16> {
        match self.helper_of(number) {
            Some((_, device, own)) => {
                let same = other.helpers().find(|(_, d, _)| d.name == device.name)?.2;
                (own <= same.loops).then(|| same.first + own - 1)
            }
            None => (number <= other.switcher.as_ref()?.own_loops).then_some(number),
        }
    }

    /// The unit and the side of it that a loop is on: what joins loops of one stretch lies inside.
    pub fn stretch(&self, number: u16) -> (Option<DeviceId>, bool) {
        match self.helper_of(number) {
            Some((at, ..)) => (Some(at), true),
            None => (None, number <= self.switcher.as_ref().and_then(|s| s.split).unwrap_or(u16::MAX)),
        }
    }
}
