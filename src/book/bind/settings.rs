//! Controls and their states by name: every line of every scene asks for them.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::Binder;
use super::names::nfc;
use crate::book::{Control, Device, Meaning};
use crate::ids::{ControlId, DeviceId, Id, Numbered};
use crate::syntax::tree::View;

/// Places by name, of two of one name the first; and the names in order.
struct Places<I>(FxHashMap<String, I>, Arc<[String]>);

/// The controls of all devices.
#[derive(Default)]
pub(super) struct Settings(Numbered<DeviceId, Controls>);

struct Controls {
    controls: Places<ControlId>,
    /// For each control: its states.
    states: Numbered<ControlId, Places<usize>>,
}

impl Settings {
    pub(super) fn of(devices: &Numbered<DeviceId, Device>) -> Settings {
        let of_device = |device: &Device| Controls {
            controls: device.controls.iter().map(|c| &c.name).collect(),
            states: device.controls.iter().map(states).collect(),
        };
        Settings(devices.iter().map(of_device).collect())
    }

    fn control(&self, device: DeviceId, name: &str) -> Option<ControlId> {
        self.0.get(device)?.controls.0.get(name).copied()
    }

    fn state(&self, device: DeviceId, control: ControlId, name: &str) -> Option<usize> {
        self.0.get(device)?.states.get(control)?.0.get(name).copied()
    }

    /// What a device's controls and levels are called.
    pub(super) fn controls(&self, device: DeviceId) -> Arc<[String]> {
        self.0.get(device).map_or_else(Arc::default, |d| Arc::clone(&d.controls.1))
    }

    /// What a control's states are called.
    pub(super) fn states(&self, device: DeviceId, control: ControlId) -> Arc<[String]> {
        let states = self.0.get(device).and_then(|d| d.states.get(control));
        states.map_or_else(Arc::default, |s| Arc::clone(&s.1))
    }
}

impl<'t> Binder<'t> {
    /// A device's control or level that has this name.
    pub(super) fn control_named(&mut self, device: DeviceId, name: View<'t>) -> Option<ControlId> {
        let found = self.settings.control(device, &nfc(name.text()))?;
        self.note(name, Meaning::Control(device, found), false);
        Some(found)
    }

    /// A control's state that has this name.
    pub(super) fn state_named(&mut self, device: DeviceId, control: ControlId, name: View<'t>) -> Option<usize> {
        let found = self.settings.state(device, control, &nfc(name.text()))?;
        self.note(name, Meaning::State(device, control, found as u16), false);
        Some(found)
    }
}

/// The states of a control by what scenes ask for: what is mapped comes first.
fn states(control: &Control) -> Places<usize> {
    let mut places: Places<usize> = control.states.iter().map(|s| &s.name).collect();
    places.0.extend(control.asked_as.iter().map(|(asked, state)| (asked.clone(), usize::from(*state))));
    places
}

impl<'n, I: Id> FromIterator<&'n String> for Places<I> {
    fn from_iter<N: IntoIterator<Item = &'n String>>(names: N) -> Places<I> {
        let names: Arc<[String]> = names.into_iter().cloned().collect();
        let mut places = FxHashMap::default();
        for (place, name) in names.iter().enumerate() {
            places.entry(name.clone()).or_insert(I::nth(place));
        }
        Places(places, names)
    }
}
