//! What hangs on one node of the path: leads and loads from a place on, as far as loops, inserts and outputs let the signal go.

use super::path::{Missing, PathFinder, To};
use crate::ids::DeviceId;
use crate::settle::Value;
use crate::study::route::{Place, Wire};

/// A segment as it is gathered: leads and loads, and where the signal may go on.
#[derive(Default)]
pub(super) struct Gathered {
    pub farad: f64,
    pub loads: Vec<f64>,
    /// Each end, and the output that the signal passed on the way to it; 0 for none.
    pub ends: Vec<(To, u16)>,
    pub missing: Vec<Missing>,
    /// Edges that were crossed: none is crossed twice.
    crossed: Vec<usize>,
}

impl PathFinder<'_> {
    /// Gathers all that hangs on one node, from a place on.
    pub(super) fn spread(&self, gathered: &mut Gathered, place: Place, output: u16) {
        let edges = self.route.leaving(place);
        if edges.is_empty() {
            gathered.ends.push((To::Open, output));
        }
        for edge in edges {
            self.cross(gathered, *edge, output);
        }
    }

    fn cross(&self, gathered: &mut Gathered, number: usize, output: u16) {
        let Some(edge) = self.route.edges.get(number).filter(|_| !gathered.crossed.contains(&number)) else { return };
        gathered.crossed.push(number);
        if let Place::Output(output) = edge.to {
            match self.passes(output) {
                Some(true) => {}
                Some(false) => return,
                None => return gathered.missing.push(Missing::Switched(output)),
            }
        }
        if self.tried.edges.contains(&number) {
            // The guitar's leads lie before the buffer; elsewhere it stands right behind what drives it, or behind the
            // panel's jack that this leaves by.
            if edge.wires.contains(&Wire::Guitar) {
                edge.wires.iter().for_each(|w| self.wire(gathered, *w));
            } else {
                self.wire(gathered, Wire::Patch);
                if edge.by_panel {
                    self.wire(gathered, Wire::Patch);
                }
            }
            gathered.loads.push(self.tried.input);
            return gathered.ends.push((To::Buffer(number), output));
        }
        edge.wires.iter().for_each(|w| self.wire(gathered, *w));
        self.arrive(gathered, edge.to, output);
    }

    /// The leads behind a buffer at the head of an edge, and on.
    pub(super) fn behind(&self, gathered: &mut Gathered, number: usize) {
        let Some(edge) = self.route.edges.get(number) else { return };
        gathered.crossed.push(number);
        let behind = edge.wires.len().saturating_sub(usize::from(edge.by_panel));
        if behind == 0 || edge.wires.contains(&Wire::Guitar) {
            self.wire(gathered, Wire::Patch);
        } else {
            edge.wires.iter().take(behind).for_each(|w| self.wire(gathered, *w));
        }
        self.arrive(gathered, edge.to, 0);
    }

    fn arrive(&self, gathered: &mut Gathered, place: Place, output: u16) {
        match place {
            Place::Loop(number) => match self.loops.get(usize::from(number).wrapping_sub(1)) {
                Some(Value::Off) => self.spread(gathered, place, output),
                Some(Value::On) => match self.route.in_loop.get(&number) {
                    Some(device) => {
                        self.wire(gathered, Wire::At(*device));
                        self.load(gathered, *device, To::Device(*device), output);
                    }
                    None => self.spread(gathered, place, output),
                },
                _ => gathered.missing.push(Missing::Loop(number)),
            },
            // Bypassed by itself it is a straight wire: its leads stay in the way.
            Place::Device(device) if self.switched(device) == Some(Value::Off) && !self.stays(device) => {
                self.spread(gathered, place, output);
            }
            Place::Device(device) if self.switched(device) == Some(Value::Unknown) => {
                gathered.missing.push(Missing::Engaged(device));
            }
            Place::Device(device) if self.watched(device) => self.load(gathered, device, To::Tuner(device), output),
            Place::Device(device) => self.load(gathered, device, To::Device(device), output),
            Place::Amp(amp) => self.load(gathered, amp, To::Amp(amp), output),
            Place::Return(device) => self.come_in(gathered, device, To::Return(device), output),
            Place::LegReturn(device, leg) => self.come_in(gathered, device, To::Leg(device, leg), output),
            Place::Key(device) => self.load(gathered, device, To::Key(device), output),
            Place::Output(number) => self.spread(gathered, place, number),
            Place::Send(_) | Place::LegSend(..) | Place::Guitar(_) => gathered.ends.push((To::Open, output)),
        }
    }

    /// A signal at a return or a leg: it goes on while the device is engaged, and loads its source in any case.
    fn come_in(&self, gathered: &mut Gathered, device: DeviceId, to: To, output: u16) {
        let stays = matches!(to, To::Return(_)) && self.stays(device);
        let engaged = match self.book.board.devices.get(device).and_then(|d| d.loop_at) {
            Some(number) => self.loops.get(usize::from(number.value).wrapping_sub(1)).copied(),
            None => self.switched(device).or(Some(Value::On)),
        };
        match engaged {
            Some(Value::On) => self.load(gathered, device, to, output),
            Some(Value::Off) => {
                self.load(gathered, device, to, output);
                if !stays {
                    gathered.ends.pop();
                }
            }
            _ => gathered.missing.push(Missing::Engaged(device)),
        }
    }

    fn load(&self, gathered: &mut Gathered, device: DeviceId, to: To, output: u16) {
        let facts = self.facts(device);
        let (ohm, missing) = match to {
            To::Return(_) => (facts.and_then(|f| f.return_in), Missing::Return(device)),
            To::Key(_) => (facts.and_then(|f| f.key), Missing::Key(device)),
            // The inputs of a mixer are alike.
            To::Leg(..) => (facts.and_then(|f| f.return_in.or(f.input)), Missing::Return(device)),
            _ => (facts.and_then(|f| f.input), Missing::Input(device)),
        };
        match ohm {
            Some(ohm) => gathered.loads.push(ohm.value.value()),
            None => gathered.missing.push(missing),
        }
        gathered.ends.push((to, output));
    }

    pub(super) fn wire(&self, gathered: &mut Gathered, wire: Wire) {
        match wire.stated(&self.book.board, self.guitar) {
            Some(lead) => gathered.farad += lead.farads(),
            None if wire == Wire::Guitar => gathered.missing.push(Missing::Cable(self.guitar)),
            None => gathered.missing.push(Missing::Patch),
        }
    }
}
