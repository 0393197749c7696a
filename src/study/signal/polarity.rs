//! What arrives at each amplifier the right way up, and what line level reaches. Every way that the signal takes is
//! followed, from jack to jack: each device that inverts turns it round, and two turns are none.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::Board;
use crate::settle::Value;
use crate::study::route::{Place, Route};

/// What a scene does to the route.
pub struct Ways<'w> {
    /// The board.
    pub board: &'w Board,
    /// Its leads.
    pub route: &'w Route,
    /// Loop cells from loop 1 on.
    pub loops: &'w [Value],
    /// Output cells from output 1 on.
    pub outputs: &'w [Value],
    /// Devices that a control of their own engages, and how they stand.
    pub switched: &'w [(usize, Value)],
}

/// A place that the signal reaches, and whether it is upside down there.
type Arrival = (Place, bool);

impl Ways<'_> {
    /// For each amplifier that sounds, whether it moves its speaker the other way; None for all where something on a
    /// way is not known. An amplifier that two ways reach, one of each kind, is left out: they cancel or they don't.
    pub fn amps(&self, guitar: usize) -> Option<BTreeMap<usize, bool>> {
        let reached = self.reached((self.route.start(guitar)?, false))?;
        let mut amps: BTreeMap<usize, BTreeSet<bool>> = BTreeMap::new();
        for (place, upside) in reached {
            let (amp, loops) = match place {
                Place::Amp(amp) => (amp, false),
                Place::Return(amp) => (amp, true),
                _ => continue,
            };
            // With an effects loop in use, it is the return that the speaker hears.
            let looped = !self.route.leaving(Place::Send(amp)).is_empty();
            if loops == looped {
                let turned = self.board.devices.get(amp).is_some_and(|d| d.electric.inverts);
                amps.entry(amp).or_default().insert(upside ^ turned);
            }
        }
        amps.retain(|_, ways| ways.len() == 1);
        Some(amps.into_iter().filter_map(|(amp, ways)| Some((amp, ways.first().copied()?))).collect())
    }

    /// Devices that take instrument level only and stand where an amplifier's send is at line level: device, amplifier.
    pub fn too_hot(&self) -> Option<Vec<(usize, usize)>> {
        let mut found = Vec::new();
        let amps = self.board.devices.iter().enumerate().filter(|(_, d)| d.electric.line.is_some());
        for (amp, _) in amps {
            for (place, _) in self.reached((Place::Send(amp), false))? {
                let device = match place {
                    Place::Loop(number) if self.engaged(number)? => self.route.in_loop.get(&number).copied(),
                    Place::Device(device) if self.sounds(device)? => Some(device),
                    Place::Amp(device) => Some(device),
                    _ => None,
                };
                let wants = |d: &usize| self.board.devices.get(*d).is_some_and(|d| d.electric.instrument.is_some());
                found.extend(device.filter(wants).map(|device| (device, amp)));
            }
        }
        found.sort_unstable();
        found.dedup();
        Some(found)
    }

    /// Every place that the signal reaches from a place on; None where a loop or an output on the way is not known.
    fn reached(&self, from: Arrival) -> Option<BTreeSet<Arrival>> {
        let mut seen = BTreeSet::from([from]);
        let mut left = vec![from];
        while let Some((place, upside)) = left.pop() {
            // What goes into an amplifier comes out at its send.
            let out = if let Place::Amp(amp) = place { Place::Send(amp) } else { place };
            let edges = self.route.leaving(out).iter().filter_map(|edge| self.route.edges.get(*edge));
            for edge in edges {
                let turned = match edge.to {
                    Place::Output(number) if !on(self.outputs, number)? => continue,
                    Place::Loop(number) if self.engaged(number)? => {
                        self.route.in_loop.get(&number).is_some_and(|device| self.inverts(*device))
                    }
                    Place::Device(device) => self.sounds(device)? && self.inverts(device),
                    _ => false,
                };
                let next = (edge.to, upside ^ turned);
                if seen.insert(next) {
                    left.push(next);
                }
            }
        }
        Some(seen)
    }

    fn engaged(&self, number: u16) -> Option<bool> {
        on(self.loops, number)
    }

    /// A device in a chain is in the signal's way; one that is bypassed lets it by.
    fn sounds(&self, device: usize) -> Option<bool> {
        match self.switched.iter().find(|(d, _)| *d == device).map(|(_, value)| *value) {
            None | Some(Value::On) => Some(true),
            Some(Value::Off) => Some(false),
            _ => None,
        }
    }

    fn inverts(&self, device: usize) -> bool {
        self.board.devices.get(device).is_some_and(|d| d.electric.inverts)
    }
}

/// Whether a loop or an output, numbered from 1, is on; None when that is not known.
fn on(cells: &[Value], number: u16) -> Option<bool> {
    match cells.get(usize::from(number).checked_sub(1)?)? {
        Value::On => Some(true),
        Value::Off => Some(false),
        _ => None,
    }
}
