//! What arrives at each amplifier the right way up, and what line level reaches. Every way that the signal takes is
//! followed, from jack to jack: each device that inverts turns it round, and two turns are none.

use std::collections::{BTreeMap, BTreeSet};

use crate::book::Board;
use crate::ids::DeviceId;
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
    pub switched: &'w [(DeviceId, Value)],
}

/// A place that the signal reaches, and whether it is upside down there.
type Arrival = (Place, bool);

impl Ways<'_> {
    /// For each amplifier that sounds, whether it moves its speaker the other way; None for all where something on a
    /// way is not known. An amplifier that two ways reach, one of each kind, is left out: they cancel or they don't.
    pub fn amps(&self, guitar: usize) -> Option<BTreeMap<DeviceId, bool>> {
        let reached = self.reached((self.route.start(guitar)?, false))?;
        let mut amps: BTreeMap<DeviceId, BTreeSet<bool>> = BTreeMap::new();
        for (place, upside) in reached {
            let (amp, loops) = match place {
                Place::Amp(amp) => (amp, false),
                Place::Return(amp) if self.route.goes_into(self.board, place).is_none() => (amp, true),
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
    pub fn too_hot(&self) -> Option<Vec<(DeviceId, DeviceId)>> {
        let mut found = Vec::new();
        let amps = self.board.devices.pairs().filter(|(_, d)| d.electric.line.is_some());
        for (amp, _) in amps {
            for (place, _) in self.reached((Place::Send(amp), false))? {
                let device = match place {
                    Place::Loop(number) if self.engaged(number)? => self.route.in_loop.get(&number).copied(),
                    Place::Device(device) if self.sounds(device)? => Some(device),
                    Place::Amp(device) => Some(device),
                    _ => None,
                };
                let wants = |d: &DeviceId| self.board.devices.get(*d).is_some_and(|d| d.electric.instrument.is_some());
                found.extend(device.filter(wants).map(|device| (device, amp)));
            }
        }
        found.sort_unstable();
        found.dedup();
        Some(found)
    }

    /// Every place that the signal reaches from a place on; None where a loop or an output on the way is not known. What
    /// starts at a send ends at the return that belongs to it.
    fn reached(&self, from: Arrival) -> Option<BTreeSet<Arrival>> {
        let home = match from.0 {
            Place::Send(device) => Some(Place::Return(device)),
            _ => None,
        };
        let mut came = BTreeSet::from([from]);
        let mut gone = BTreeSet::from([from]);
        let mut left = vec![from];
        while let Some((place, upside)) = left.pop() {
            let edges = self.route.leaving(place).iter().filter_map(|edge| self.route.edges.get(*edge));
            for edge in edges {
                if matches!(edge.to, Place::Output(number) if !on(self.outputs, number)?) || home == Some(edge.to) {
                    continue;
                }
                let (turned, ahead) = self.through(edge.to)?;
                came.insert((edge.to, upside ^ turned));
                for (place, turned) in ahead {
                    if gone.insert((place, upside ^ turned)) {
                        left.push((place, upside ^ turned));
                    }
                }
            }
        }
        Some(came)
    }

    /// Whether what comes to a place is turned by it, and the places that it goes on from, each with whether it is turned
    /// on the way.
    fn through(&self, place: Place) -> Option<(bool, Vec<Arrival>)> {
        if let Some(device) = self.route.goes_into(self.board, place) {
            let stays = matches!(place, Place::Return(_)) && self.stays(device);
            let on = self.on(device)?;
            let leg = match place {
                Place::LegReturn(_, leg) => Some(usize::from(leg)),
                _ => None,
            };
            let turned = on && (self.inverts(device) ^ leg.is_some_and(|leg| self.leg_inverts(device, leg)));
            let out = (on || stays).then(|| (self.route.place_of(self.board, device), turned));
            return Some((turned, out.into_iter().collect()));
        }
        let device = match place {
            // What goes into an amplifier comes out at its send.
            Place::Amp(amp) => return Some((false, vec![(Place::Send(amp), false)])),
            Place::Key(_) => return Some((false, Vec::new())),
            place => self.route.device_at(place),
        };
        let on = match place {
            Place::Loop(number) => self.engaged(number)?,
            Place::Device(device) => self.sounds(device)?,
            _ => false,
        };
        let Some(device) = device.filter(|device| on || self.stays(*device)) else {
            return Some((false, vec![(place, false)]));
        };
        let turned = on && self.inverts(device);
        let legs = self.board.devices.get(device).map_or(0, |d| d.electric.legs.len());
        let mut ahead: Vec<Arrival> = self.route.sends(self.board, device).into_iter().map(|p| (p, false)).collect();
        for leg in (0..legs).filter(|leg| !self.route.arrives(Place::LegReturn(device, *leg as u16))) {
            ahead.push((place, turned ^ self.leg_inverts(device, leg)));
        }
        if legs == 0 && !self.route.arrives(Place::Return(device)) {
            ahead.push((place, turned));
        }
        Some((turned, ahead))
    }

    /// A device in a loop or in a chain is engaged.
    fn on(&self, device: DeviceId) -> Option<bool> {
        match self.route.place_of(self.board, device) {
            Place::Loop(number) => self.engaged(number),
            _ => self.sounds(device),
        }
    }

    fn stays(&self, device: DeviceId) -> bool {
        let said = self.board.devices.get(device).is_some_and(|d| d.electric.insert_stays.is_some());
        said && self.route.arrives(Place::Return(device))
    }

    fn leg_inverts(&self, device: DeviceId, leg: usize) -> bool {
        let legs = self.board.devices.get(device).map_or(&[][..], |d| d.electric.legs.as_slice());
        legs.get(leg).is_some_and(|l| l.inverts)
    }

    fn engaged(&self, number: u16) -> Option<bool> {
        on(self.loops, number)
    }

    /// A device in a chain is in the signal's way; one that is bypassed lets it by.
    fn sounds(&self, device: DeviceId) -> Option<bool> {
        match self.switched.iter().find(|(d, _)| *d == device).map(|(_, value)| *value) {
            None | Some(Value::On) => Some(true),
            Some(Value::Off) => Some(false),
            _ => None,
        }
    }

    fn inverts(&self, device: DeviceId) -> bool {
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
