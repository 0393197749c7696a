//! What moving from preset to preset needs to know: presses, power-up, and which preset may follow which.

use super::scene::Spanned;
use super::song::Slot;

/// What the same switch does when it is pressed again.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Repress {
    /// Nothing.
    Ignored,
    /// It sends its pulses again.
    Repeats,
}

/// What a change costs the feet, in presses.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Presses {
    /// To choose a switch of the bank.
    pub same_bank: u32,
    /// To move one bank up or down.
    pub bank_step: u32,
}

impl Presses {
    /// Presses from one slot to another; 0 for the slot where one stands.
    pub fn between(self, from: Slot, to: Slot) -> u32 {
        let there = || self.same_bank + self.bank_step * from.bank.abs_diff(to.bank) + to.beyond();
        from.within(to).unwrap_or_else(there)
    }
}

/// How the switcher behaves between presets.
#[derive(Clone, Debug, Default)]
pub struct Timing {
    /// The same switch again, if stated.
    pub repress: Option<Repress>,
    /// The slot after power-up, if stated.
    pub wakes: Option<Spanned<Slot>>,
    /// What a change costs, if stated.
    pub presses: Option<Presses>,
}

impl Timing {
    /// Pressing the same switch again may send its pulses again: stated, or at least not excluded.
    pub fn may_repeat(&self) -> bool {
        self.repress != Some(Repress::Ignored)
    }
}

/// Which preset may follow which, when it is not the usual.
///
/// Usual is: power-up to the first part, any part of a song to any other, a song's last part to the next one's first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ways {
    /// Any preset may follow any.
    Any,
    /// The order of the sets alone.
    Listed,
}
