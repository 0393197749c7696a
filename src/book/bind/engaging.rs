//! What engages a device that sits in no loop.

use std::sync::Arc;

use super::Binder;
use super::names::nfc;
use crate::book::Fault;
use crate::book::device::{Control, Device, DeviceKind, EngagedBy, How};
use crate::book::fault::NotEngaging;
use crate::ids::ControlId;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

impl<'t> Binder<'t> {
    /// Binds `engaged by CONTROL STATE`, once the controls are known.
    pub(super) fn engaged_by(&mut self, device: &mut Device, view: View<'t>) {
        let mut names = view.all(Kind::Name);
        let (Some(name), Some(state)) = (names.next(), names.next()) else { return };
        let Some(number) = self.own_control(device, name) else { return };
        let Some(control) = device.controls.get(number) else { return };
        let engaged = control.states.iter().position(|s| s.name == nfc(state.text()));
        let unknown = control.how == How::Unknown || control.lost;
        if let (Some(why), false) = (cannot(device, control), unknown) {
            let (owner, named, there) = (device.name.clone(), control.name.clone(), control.at);
            self.faults.push(Fault::EngagedUnclear { at: view.span(), name: owner, control: named, why, there });
            // What it is there for is not known.
            if let Some(control) = device.controls.get_mut(number).filter(|_| why == NotEngaging::Otherwise) {
                control.how = How::Unknown;
            }
        } else if let (None, false) = (engaged, unknown) {
            let has = control.states.iter().map(|s| s.name.clone()).collect();
            self.state_unknown(state.span(), Some(state), control, has);
        } else if let (Some(engaged), false) = (engaged, unknown) {
            self.note_state(state, number, engaged, false);
            let engaged = engaged as u16;
            device.engaged_by = Some(EngagedBy { control: number, engaged, bypassed: 1 - engaged, at: view.span() });
            return;
        }
        device.faulty = true;
    }

    /// The control of a device that its own description names; told when there is none.
    pub(super) fn own_control(&mut self, device: &mut Device, name: View<'t>) -> Option<ControlId> {
        let wanted = nfc(name.text());
        let found = device.controls.position(|c| c.name == wanted);
        if found.is_none() && !device.faulty {
            let has: Arc<[String]> = device.controls.iter().map(|c| c.name.clone()).collect();
            let near = self.near(name.text(), has.iter().map(String::as_str));
            let (owner, there) = (device.name.clone(), device.at);
            self.faults.push(Fault::ControlUnknown { at: name.span(), device: owner, near, has, there });
        }
        if let Some(found) = found {
            self.note_control(name, found, false);
        }
        device.faulty |= found.is_none();
        found
    }
}

fn cannot(device: &Device, control: &Control) -> Option<NotEngaging> {
    match &control.how {
        _ if control.how.level().is_some() => Some(NotEngaging::Level),
        How::Remote { momentary: true, .. } => Some(NotEngaging::Pulses),
        How::Remote { shared: true, .. } => Some(NotEngaging::Shared),
        _ if control.states.len() != 2 => Some(NotEngaging::States(control.states.len())),
        _ if device.loop_at.is_some() || device.always_on || device.tuner.is_some() => Some(NotEngaging::Otherwise),
        _ => (device.kind != DeviceKind::Pedal).then_some(NotEngaging::Otherwise),
    }
}
