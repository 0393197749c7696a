//! The legs of a device: the ways that it throws together, and how loud each comes.

use super::Binder;
use super::device::Fact;
use super::electric::Least;
use super::names::nfc;
use crate::book::Fault;
use crate::book::device::Device;
use crate::book::electric::{Leg, LegLevel};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

impl<'t> Binder<'t> {
    /// Its legs by name; one of its own stands for that of what it is like.
    pub(super) fn legs(&mut self, device: &mut Device, facts: &[Fact<'t>]) {
        let mut own = Vec::new();
        let mut named = Vec::new();
        for fact in facts.iter().filter(|f| f.view.kind() == Kind::Leg) {
            let Some(leg) = self.leg(device, fact.view) else { continue };
            named.extend(fact.view.child(Kind::Name));
            if !fact.inherited {
                own.push((leg.name.clone(), leg.at));
                if let Some((_, first)) = own.iter().rev().skip(1).find(|(name, _)| *name == leg.name) {
                    self.faults.push(Fault::DuplicateName { at: leg.at, first: *first, kind: "leg" });
                    continue;
                }
            }
            match device.electric.legs.iter_mut().find(|l| l.name == leg.name) {
                Some(before) => *before = leg,
                None => device.electric.legs.push(leg),
            }
        }
        device.electric.legs.sort_by(|a, b| a.name.cmp(&b.name));
        for name in named {
            let leg = device.electric.legs.iter().position(|l| l.name == nfc(name.text()));
            leg.into_iter().for_each(|leg| self.note_leg(name, leg));
        }
    }

    fn leg(&mut self, device: &mut Device, view: View<'t>) -> Option<Leg> {
        let mut names = view.all(Kind::Name);
        let name = names.next()?;
        let level = match (view.child(Kind::Quantity), names.next()) {
            (Some(said), _) => {
                self.quantity(said, Dimension::Decibel, Least::Any).map_or(LegLevel::Unsaid, LegLevel::Stated)
            }
            (None, Some(by)) => match self.own_control(device, by) {
                Some(control) => LegLevel::By(control),
                None => LegLevel::Unsaid,
            },
            (None, None) => LegLevel::Unsaid,
        };
        let name_text = nfc(name.text()).into_owned();
        Some(Leg { name: name_text, at: name.span(), level, inverts: view.says("inverts") })
    }
}
