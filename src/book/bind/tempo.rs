//! Tempo from a preset: what a pedal takes it by, which note value a part names, and contacts that nothing else may use.

use super::Binder;
use super::device::Fact;
use crate::book::device::{Contact, Control, Device, FASTEST, How, SLOWEST};
use crate::book::fault::Refused;
use crate::book::{Amount, Fault, Note};
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;
use crate::syntax::units::Dimension;

/// The level that a preset gives a tempo by goes by this name.
const NAME: &str = "tempo";
/// Two pulses have one gap; more than these nobody waits for.
const PULSES: (u32, u32) = (2, 16);

/// Neither a contact nor a controller is named.
pub(super) fn by_clock(view: View<'_>) -> bool {
    view.child(Kind::OnCc).or_else(|| view.child(Kind::Contact)).is_none()
}

impl<'t> Binder<'t> {
    /// The level of a device that takes its tempo from a preset: `tempo by 3 pulses on …`, `tempo on midi …`, and `tempo by clock`
    /// where the switcher sends the clock.
    pub(super) fn given_tempo(&mut self, device: &mut Device, facts: &[Fact<'t>]) {
        let said = facts.iter().rev().find(|f| f.view.kind() == Kind::Beat);
        // A clock from elsewhere is no matter of presets.
        let sent = self.book.board.switcher.as_ref().is_some_and(|s| s.clock);
        let Some(fact) = said.filter(|f| (sent || !by_clock(f.view)) && !f.view.broken()) else { return };
        let (view, before) = (fact.view, self.faults.len());
        // Its word is its name.
        let word = Span { end: view.span().start + NAME.len() as u32, ..view.span() };
        let at = if fact.inherited { device.at } else { word };
        if let Some(own) = device.controls.iter().find(|c| c.name == NAME) {
            self.faults.push(Fault::DuplicateName { at, first: own.at, kind: "control" });
            device.faulty = true;
            return;
        }
        let mut control = Control::new(NAME.to_owned(), at, How::Unknown);
        if let Some(how) = self.given_by(device, &control, view) {
            control.how = how;
            device.tempo = Some(device.controls.next());
        }
        device.faulty |= self.faults.len() > before;
        device.controls.push(control);
    }

    fn given_by(&mut self, device: &Device, control: &Control, view: View<'t>) -> Option<How> {
        if by_clock(view) {
            return Some(How::Clock);
        }
        let mut ends = view.all(Kind::Quantity);
        let range = match (ends.next(), ends.next()) {
            (Some(from), Some(to)) => {
                let (from, to) = (self.measure(from, Dimension::Tempo), self.measure(to, Dimension::Tempo));
                let (from, to) = (from?, to?);
                if from.value.step(from.value, to.value, 2).is_none() {
                    self.faults.push(Fault::RangeEmpty { at: from.at.to(to.at) });
                    return None;
                }
                Some((from.value, to.value))
            }
            _ => None,
        };
        if let Some(how) = view.child(Kind::OnCc) {
            let numbers: Vec<View<'t>> = how.all(Kind::Number).collect();
            let (channel, cc) = self.controller(device, control, &numbers)?;
            let (from, to) = range?;
            return Some(How::Cc { channel, cc, from, to, shared: how.says("shared") });
        }
        let count = view.child(Kind::Number).and_then(|n| self.count(n, PULSES.0, PULSES.1, "the number of pulses"));
        let contact = view.child(Kind::Contact)?;
        let jack = contact.child(Kind::Number).and_then(|n| self.jack_number(n, "remote"));
        let (from, to) = range.unwrap_or((Amount::bpm(SLOWEST), Amount::bpm(FASTEST)));
        Some(How::Pulses {
            contact: Contact { jack: jack?, ring: contact.says("ring") },
            count: count? as u16,
            from,
            to,
        })
    }

    /// `beat gully dotted-eighth` behind a part.
    pub(super) fn beat(&mut self, note: View<'t>, tempo: bool) -> Note {
        let value = note.child(Kind::NoteValue).map_or(String::new(), |v| v.text().to_owned());
        let Some(name) = note.child(Kind::Name) else { return Note::Beat { device: None, value } };
        let device = self.find(name, super::names::Wanted::DEVICE);
        let found = device.and_then(|index| self.devices.get(index)).filter(|d| !d.faulty);
        if let Some(found) = found {
            let why = match found {
                _ if found.clock => Some(Refused::Clock),
                _ if found.tempo.is_some() && !tempo => Some(Refused::SongUntimed),
                _ if found.tempo.is_some() => None,
                _ if found.tap => Some(Refused::Foot),
                _ => Some(Refused::Nothing),
            };
            let (device, there) = (found.name.clone(), found.at);
            let fault = why.map(|why| Fault::TempoRefused { at: note.span(), device, why, there });
            self.faults.extend(fault);
        }
        Note::Beat { device, value }
    }

    /// True, and told, for a contact whose pulses give a pedal its tempo: no scene closes, opens or pulses it, and no rule
    /// asks how it stands.
    pub(super) fn takes_pulses(&mut self, jack: Option<u16>, at: View<'t>) -> bool {
        let Some(contact) = jack.map(|jack| Contact { jack, ring: at.says("ring") }) else { return false };
        let given = |c: &Control| matches!(c.how, How::Pulses { contact: own, .. } if own == contact);
        let owner = self.book.board.devices.iter().find_map(|d| Some((d, d.controls.iter().find(|c| given(c))?)));
        let Some((device, control)) = owner else { return false };
        let (device, there, why) = (device.name.clone(), control.at, Refused::Contact(contact));
        self.faults.push(Fault::TempoRefused { at: at.span(), device, why, there });
        true
    }
}
