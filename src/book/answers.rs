//! What the switcher does when a computer or a keyboard sends it a program: it goes to the preset of that number.
//!
//! MIDI 1.0 Detailed Specification v4.2.1 (MMA, February 1996): programs 0 to 127 on the wire (table II), banks 0 to 16383
//! chosen by controllers 0 and 32 (p. 13 and 14). Many units show both from 1: so what is shown is kept beside what is sent.

use super::song::{Slot, SlotRange};
use crate::source::Span;

/// Programs of a bank, at most.
pub const PROGRAMS: u32 = 128;
/// Banks, at most.
const BANKS: u32 = 16_384;

/// What it answers to: the first slot to the first program, and so on in the order of the slots.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Answers {
    /// Where it is said.
    pub at: Span,
    /// The channel, from 1.
    pub channel: u16,
    /// The number by which the unit shows the first program: 0 or 1.
    pub from: u16,
    /// So many programs lie in each bank, where it answers to banks.
    pub banks: Option<u16>,
    /// What it sends comes back to it.
    pub hears_itself: bool,
    /// What it hears goes on to its own MIDI out.
    pub passes_on: bool,
}

/// What calls a slot, as it is sent.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Call {
    /// The bank, from 0; None where the unit answers to no banks.
    pub bank: Option<u16>,
    /// The program, from 0.
    pub program: u8,
}

impl Answers {
    /// What calls a slot; None for one that no program reaches: it calls first rows, and presses nothing there.
    pub fn call(&self, range: SlotRange, slot: Slot) -> Option<Call> {
        if slot != Slot::at(slot.bank, slot.switch) {
            return None;
        }
        let number = u64::from(slot.bank) * u64::from(range.switches) + u64::from(slot.switch);
        let number = u32::try_from(number).ok()?;
        let call = match self.banks {
            None => Call { bank: None, program: u8::try_from(number).ok()? },
            Some(each) => {
                let each = u32::from(each.max(1));
                let bank = Some(number / each).filter(|bank| *bank < BANKS)?;
                Call { bank: Some(bank as u16), program: (number % each) as u8 }
            }
        };
        (u32::from(call.program) < PROGRAMS).then_some(call)
    }

    /// So many slots are within reach.
    pub fn reach(&self) -> u32 {
        self.banks.map_or(PROGRAMS, |each| u32::from(each) * BANKS)
    }

    /// A program as the unit shows it.
    pub fn shown(&self, call: Call) -> u16 {
        u16::from(call.program) + self.from
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::song::SwitchName;

    #[test]
    fn slots_are_called_in_their_order() {
        let range = SlotRange {
            first_bank: 1,
            banks: 50,
            switches: 4,
            first_switch: SwitchName::Number(1),
            inside: None,
            rows: 1,
        };
        let plain =
            Answers { at: Span::new(0, 0, 0), channel: 1, from: 1, banks: None, hears_itself: false, passes_on: false };
        let banked = Answers { banks: Some(100), ..plain };
        for (number, slot) in range.all().enumerate() {
            let call = plain.call(range, slot);
            assert_eq!(call.map(|c| (c.bank, usize::from(c.program))), (number < 128).then_some((None, number)));
            let call = banked.call(range, slot).unwrap();
            assert_eq!((usize::from(call.bank.unwrap()), usize::from(call.program)), (number / 100, number % 100));
        }
    }
}
