//! Presses, power-up, which preset may follow which, and what of a device goes on in time.

use super::{Binder, said_twice};
use crate::book::device::Device;
use crate::book::time::{Presses, Repress, Ways};
use crate::book::{Fault, Spanned};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

/// A change that costs more presses than this is a slip of the finger.
const MOST_PRESSES: u32 = 99;
/// A tail longer than this, in seconds, is one too.
const LONGEST_TAIL: f64 = 600.0;

impl<'t> Binder<'t> {
    /// Reads what a switcher says about moving from preset to preset; its counts must be bound already.
    pub(super) fn timing(&mut self, switcher: View<'t>) {
        let banks = self.book.board.switcher.as_ref().is_some_and(|s| s.slots.is_some());
        for fact in switcher.children() {
            match fact.kind() {
                Kind::Repress if self.book.board.timing.repress.is_none() => {
                    let repeats = fact.says("repeats");
                    self.book.board.timing.repress = Some(if repeats { Repress::Repeats } else { Repress::Ignored });
                }
                Kind::Wakes if banks && self.book.board.timing.wakes.is_none() => {
                    let Some(slot) = fact.child(Kind::Slot) else { continue };
                    let at = slot.span();
                    self.book.board.timing.wakes = self.read_slot(slot).map(|value| Spanned { value, at });
                }
                Kind::Presses if self.book.board.timing.presses.is_none() => {
                    let numbers: Vec<View<'t>> = fact.all(Kind::Number).collect();
                    let [same, step] = numbers.as_slice() else { continue };
                    let same_bank = self.count(*same, 0, MOST_PRESSES, "the presses in one bank");
                    let bank_step = self.count(*step, 0, MOST_PRESSES, "the presses for a bank");
                    let both = same_bank.zip(bank_step);
                    self.book.board.timing.presses =
                        both.map(|(same_bank, bank_step)| Presses { same_bank, bank_step });
                }
                _ => {}
            }
        }
    }

    /// Reads which preset may follow which.
    pub(super) fn ways(&mut self) {
        for view in std::mem::take(&mut self.found.ways) {
            if let Some(first) = &self.book.board.ways {
                said_twice(&mut self.faults, first.at, view);
                continue;
            }
            let value = if view.says("any") { Ways::Any } else { Ways::Listed };
            self.book.board.ways = Some(Spanned { value, at: view.span() });
        }
    }

    /// Reads how long a device rings on after its input is cut.
    pub(super) fn tail(&mut self, device: &mut Device, view: View<'t>, at: Span) {
        let Some(quantity) = view.child(Kind::Quantity) else { return };
        let Some(said) = self.measure(quantity, Dimension::Time) else { return };
        let seconds = said.value.value();
        if seconds > 0.0 && seconds <= LONGEST_TAIL {
            device.tail = Some(Spanned { value: seconds, at });
            device.programs_cut = view.says("cut");
        } else {
            let range = "more than 0 s and at most 600 s".to_owned();
            self.faults.push(Fault::OutOfRange {
                at: quantity.span(),
                what: "the tail".to_owned(),
                range,
                there: None,
            });
        }
    }
}
