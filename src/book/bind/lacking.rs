//! What scenes ask of a device that stands for another, in the words of the one that it stands for.

use std::sync::Arc;

use super::device::Fact;
use super::names::nfc;
use super::{Binder, Lack};
use crate::book::{Device, Fault};
use crate::ids::{ControlId, DeviceId};
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// Binds `channel clean is quiet, lead is loud`, once the controls are known.
    pub(super) fn state_maps(&mut self, device: &mut Device, facts: &[Fact<'t>]) {
        for view in facts.iter().map(|f| f.view).filter(|v| v.kind() == Kind::StateMap) {
            let Some(name) = view.child(Kind::Name) else { continue };
            let Some(number) = self.own_control(device, name) else { continue };
            for mapped in view.all(Kind::Mapped) {
                device.faulty |= !self.mapped(device, number, mapped);
            }
        }
    }

    fn mapped(&mut self, device: &mut Device, number: ControlId, view: View<'t>) -> bool {
        let mut names = view.all(Kind::Name);
        let (Some(asked), Some(state)) = (names.next(), names.next()) else { return false };
        let Some(control) = device.controls.get_mut(number) else { return false };
        match control.states.iter().position(|s| s.name == nfc(state.text())) {
            Some(place) => {
                self.note_state(state, number, place, false);
                // What scenes ask for is another name of the state.
                self.note_state(asked, number, place, true);
                let asked = nfc(asked.text()).into_owned();
                // Its own map comes behind that of what it is like, and wins.
                control.asked_as.retain(|(known, _)| *known != asked);
                control.asked_as.push((asked, place as u16));
                true
            }
            None => {
                let has = control.states.iter().map(|s| s.name.clone()).collect();
                self.state_unknown(state.span(), Some(state), control, has)
            }
        }
    }

    /// Keeps what a device lacks that stands for another: it is told once, where it is described. False for any other
    /// device.
    pub(super) fn lacks(
        &mut self,
        device: DeviceId,
        control: &str,
        state: Option<View<'t>>,
        has: Arc<[String]>,
        at: View<'t>,
    ) -> bool {
        let new = self.book.board.devices.get(device).is_some_and(|d| self.amend.replaces(d.at));
        let faulty = self.book.board.devices.get(device).is_some_and(|d| d.faulty);
        // What it lacks it may have in what could not be understood.
        if new && !faulty {
            let (control, state) = (control.to_owned(), state.map(|s| nfc(s.text()).into_owned()));
            self.lacks.push(Lack { device, control, state, has, at: at.span() });
        }
        new
    }

    /// Tells it: one fault a control.
    pub(super) fn lacking(&mut self) {
        let mut lacks = std::mem::take(&mut self.lacks);
        lacks.sort_by(|a, b| (a.device, &a.control, a.at).cmp(&(b.device, &b.control, b.at)));
        for of in lacks.chunk_by(|a, b| a.device == b.device && a.control == b.control) {
            let Some((first, device)) = of.first().and_then(|f| Some((f, self.book.board.devices.get(f.device)?)))
            else {
                continue;
            };
            let mut asked: Vec<String> = Vec::new();
            for state in of.iter().filter_map(|l| l.state.clone()) {
                if !asked.contains(&state) {
                    asked.push(state);
                }
            }
            self.faults.push(Fault::StateUnmapped {
                at: device.at,
                device: device.name.clone(),
                control: first.control.clone(),
                asked,
                has: Arc::clone(&first.has),
                there: first.at,
            });
        }
    }
}
