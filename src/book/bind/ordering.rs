//! `order`: how a scene has the loops of the unit follow each other.

use super::Binder;
use super::names::Wanted;
use crate::book::fault::NoOrder;
use crate::book::{Fault, LoopOrder, What, order};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// What a scene says of the order of loops; false where it was not understood.
    pub(super) fn order(&mut self, view: View<'t>) -> bool {
        let at = view.span();
        let Some(switcher) = &self.book.board.switcher else {
            self.need_switcher(at);
            return false;
        };
        if !switcher.ordered {
            if !switcher.faulty {
                let why = NoOrder::Unit(switcher.at);
                self.faults.push(Fault::OrderUnclear { at, why });
            }
            return false;
        }
        let mut loops: Vec<u16> = Vec::new();
        for target in view.children().filter(|v| matches!(v.kind(), Kind::Name | Kind::LoopRef)) {
            let Some(number) = self.ordered(target) else { return false };
            if loops.contains(&number) {
                self.faults.push(Fault::OrderUnclear { at: target.span(), why: NoOrder::Twice(number) });
                return false;
            }
            loops.push(number);
        }
        let order = LoopOrder::named(&self.book.board, &loops);
        let why = match loops.as_slice() {
            [] => None,
            [one] => Some(NoOrder::Alone(*one)),
            [first, rest @ ..] => {
                let runs = order::runs(&self.book.board);
                let run = runs.iter().find(|run| run.contains(first));
                let apart = |l: &u16| !run.is_some_and(|run| run.contains(l));
                rest.iter().find(|l| apart(l)).map(|l| NoOrder::Apart(*first, *l))
            }
        };
        if let Some(why) = why {
            if !self.book.board.chains.iter().any(|c| c.faulty) {
                self.faults.push(Fault::OrderUnclear { at, why });
            }
            return false;
        }
        self.push(What::Order { order }, at)
    }

    /// The unit's own loop that is named, by its number or by the pedal in it.
    fn ordered(&mut self, target: View<'t>) -> Option<u16> {
        let at = target.span();
        let number = match target.kind() {
            Kind::LoopRef => {
                let of = target.child(Kind::OfHelper);
                target.child(Kind::Number).and_then(|n| self.loop_number(n, of, at))?
            }
            _ => {
                let index = self.find(target, Wanted::DEVICE)?;
                let device = self.book.board.devices.get(index)?;
                let Some(number) = device.loop_at else {
                    let why = NoOrder::InNoLoop(device.at);
                    if !device.faulty {
                        self.faults.push(Fault::OrderUnclear { at, why });
                    }
                    return None;
                };
                number.value
            }
        };
        if self.book.board.helper_of(number).is_some() {
            self.faults.push(Fault::OrderUnclear { at, why: NoOrder::Helper });
            return None;
        }
        Some(number)
    }
}
