//! What may be claimed once: loops, expression ports, contacts that are not shared, labels.

use rustc_hash::FxHashMap;

use super::Binder;
use crate::book::device::{Contact, Control, Device, How};
use crate::book::fault::NoTrim;
use crate::book::message::When;
use crate::book::{Fault, Spanned};
use crate::ids::DeviceId;
use crate::source::Span;

/// Who claimed a contact: the first control, and the first of those that do not say `shared`.
#[derive(Clone, Copy)]
struct Claim {
    first: Span,
    alone: Option<Span>,
}

/// What a control is sent.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Programs,
    Controller(u16),
    /// Whatever its states list.
    Listed,
}

/// A control that listens on a channel: its device, its place, whether it says `shared`, and what it is sent when.
#[derive(Clone, Copy)]
struct Heard {
    device: DeviceId,
    at: Span,
    shared: bool,
    kind: Kind,
    when: When,
    /// Its device is told already.
    told: bool,
}

#[derive(Default)]
struct Claims {
    loops: FxHashMap<u16, Span>,
    trims: FxHashMap<u16, Span>,
    /// The first level on each port, and whether it says `shared`.
    ports: FxHashMap<u16, (Span, bool)>,
    contacts: FxHashMap<Contact, Claim>,
    channels: FxHashMap<u16, Vec<Heard>>,
    labels: FxHashMap<String, Span>,
    faults: Vec<Fault>,
}

impl Binder<'_> {
    pub(super) fn claims(&mut self) {
        let mut claims = Claims::default();
        for (number, device) in self.book.board.devices.pairs() {
            if let Some(Spanned { value: number, at }) = device.loop_at {
                let first = *claims.loops.entry(number).or_insert(at);
                if first != at {
                    claims.faults.push(Fault::LoopClaimed { at, first, number });
                }
                claims.label(device);
            }
            for control in &device.controls {
                claims.control(control);
                claims.channel(number, control);
            }
        }
        self.faults.append(&mut claims.faults);
    }
}

impl Claims {
    /// Labels are three letters, and each is unlike the others.
    fn label(&mut self, device: &Device) {
        let at = device.code.as_ref().map_or(device.at, |c| c.at);
        let code = device.label();
        match self.labels.get(&code) {
            Some(first) => {
                self.faults.push(Fault::CodeClash { at, first: *first, code, made_up: device.code.is_none() });
            }
            None => drop(self.labels.insert(code, at)),
        }
    }

    /// A channel is one device's, as a device hears all that is sent on it; several that mean it so say `shared`. On one
    /// device two controls must not be the same message.
    fn channel(&mut self, device: DeviceId, control: &Control) {
        let (channel, shared, kind) = match control.how {
            How::Programs { channel, shared, .. } => (channel, shared, Kind::Programs),
            How::Cc { channel, cc, shared, .. } | How::CcStates { channel, cc, shared } => {
                (channel, shared, Kind::Controller(cc))
            }
            How::Messages { channel, shared } => (channel, shared, Kind::Listed),
            _ => return,
        };
        let when = control.cue.when;
        let at = control.at;
        let known = self.channels.entry(channel).or_default();
        let same = |h: &Heard| h.kind == kind && h.when == when && kind != Kind::Listed;
        let against = |h: &&Heard| if h.device == device { same(h) } else { !(h.shared && shared) };
        // One control of a device is told: the others follow it to another channel.
        let told = known.iter().any(|h| h.device == device && h.told);
        let first = known.iter().find(against).copied().filter(|_| !told);
        if let Some(Heard { device: other, at: first, .. }) = first {
            self.faults.push(Fault::ChannelClaimed { at, first, channel, one_device: other == device });
        }
        known.push(Heard { device, at, shared, kind, when, told: told || first.is_some() });
    }

    fn control(&mut self, control: &Control) {
        let at = control.at;
        match &control.how {
            How::Port { port, shared, .. } => match self.ports.get(port) {
                Some((_, true)) if *shared => {}
                Some((first, _)) => self.faults.push(Fault::PortShared { at, first: *first, port: *port }),
                None => drop(self.ports.insert(*port, (at, *shared))),
            },
            How::Trim { output, .. } => match self.trims.get(output) {
                Some(first) => {
                    let (device, why) = (control.name.clone(), NoTrim::Twice(*first));
                    self.faults.push(Fault::TrimMisplaced { at, device, output: *output, why });
                }
                None => drop(self.trims.insert(*output, at)),
            },
            How::Pulses { contact, .. } => self.contacts(at, &[*contact], false),
            How::Remote { contacts, shared, .. } => self.contacts(at, contacts, *shared),
            _ => {}
        }
    }

    fn contacts(&mut self, at: Span, contacts: &[Contact], shared: bool) {
        let against = |claim: &Claim| if shared { claim.alone } else { Some(claim.first) };
        let taken = contacts.iter().find_map(|c| Some((c, self.contacts.get(c).and_then(against)?)));
        if let Some((contact, first)) = taken {
            self.faults.push(Fault::ContactClaimed { at, first, contact: contact.says() });
        }
        for contact in contacts {
            let claim = self.contacts.entry(*contact).or_insert(Claim { first: at, alone: None });
            if !shared {
                claim.alone.get_or_insert(at);
            }
        }
    }
}
