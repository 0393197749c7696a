//! What stands in an insert or in a leg, and whether anybody hears it: the send of a pedal is fed, and its return is heard,
//! only while the pedal is engaged. Graph theory: a device is heard when it lies on a way from a guitar to an end.

use std::sync::{Arc, Mutex};

use rustc_hash::FxHashMap;

use super::route::{Place, Route};
use crate::book::electric::LinkWhat;
use crate::book::{Board, Book, DeviceKind};
use crate::ids::{DeviceId, Numbered, SceneId};
use crate::settle::{Answer, Row, Table};

/// For each device: whether it sounds.
type Sounding = Numbered<DeviceId, Answer>;

/// The inserts and legs of a board.
#[derive(Debug)]
pub struct Inside {
    route: Route,
    /// What was found before, by whether each device sounds.
    known: Mutex<FxHashMap<Sounding, Arc<[DeviceId]>>>,
    /// Devices that stand before or behind a jack of a pedal, by index: only these may be engaged and unheard.
    pub devices: Vec<DeviceId>,
}

/// A way through the board: where a signal came, and where it goes on from.
#[derive(Default)]
struct Reach {
    came: Vec<Place>,
    from: Vec<Place>,
}

impl Inside {
    /// Those of a board; None where no chain leads to or from such a jack, or the chains cannot be trusted.
    pub fn of(board: &Board) -> Option<Inside> {
        let named = |what: &LinkWhat| matches!(what, LinkWhat::Device { jack: Some(_), .. });
        if !board.chains.iter().flat_map(|c| &c.links).any(|l| named(&l.what)) {
            return None;
        }
        let route = Route::of(board);
        let jacks = route.edges.iter().flat_map(|e| [e.from, e.to]).filter(|p| host(&route, board, *p).is_some());
        let jacks: Vec<Place> = jacks.collect();
        if route.faulty || jacks.is_empty() {
            return None;
        }
        let near = |device: &DeviceId| {
            let home = route.place_of(board, *device);
            jacks.iter().any(|jack| route.leads_to(board, *jack, home) || route.leads_to(board, home, *jack))
        };
        let amp = |device: &DeviceId| board.devices.get(*device).is_none_or(|d| d.kind == DeviceKind::Amp);
        let devices = board.devices.ids().filter(|d| !amp(d) && near(d)).collect();
        Some(Inside { devices, known: Mutex::default(), route })
    }

    /// The same of a scene's row.
    pub fn cut_off_in(&self, book: &Book, table: &Table, scene: SceneId) -> Arc<[DeviceId]> {
        let row = Row::of(book, table, scene);
        let sounds: Sounding = book.board.devices.ids().map(|d| row.sounds(d)).collect();
        if let Some(known) = self.known.lock().ok().and_then(|known| known.get(&sounds).cloned()) {
            return known;
        }
        let of = |device: DeviceId| sounds.get(device).copied().unwrap_or(Answer::Maybe);
        let found: Arc<[DeviceId]> = self.cut_off(&book.board, &of).into();
        if let Ok(mut known) = self.known.lock() {
            known.insert(sounds, found.clone());
        }
        found
    }

    /// The devices that nobody hears, whether they are engaged or not: no way leads through them from a guitar to an end.
    /// What an output silences is another matter. Where something is not known, it is not told.
    pub fn cut_off(&self, board: &Board, sounds: &dyn Fn(DeviceId) -> Answer) -> Vec<DeviceId> {
        let guitars = self.route.edges.iter().map(|e| e.from).filter(|p| matches!(p, Place::Guitar(_)));
        let played = self.reach(board, guitars.collect(), sounds);
        if played.from.is_empty() {
            return Vec::new();
        }
        let heard = |device: DeviceId| {
            let home = self.route.place_of(board, device);
            let fed = played.came.iter().any(|p| *p == home || host(&self.route, board, *p) == Some(device));
            fed && self.reach(board, vec![home], sounds).came.iter().any(|p| self.ends(board, *p))
        };
        self.devices.iter().copied().filter(|d| !heard(*d)).collect()
    }

    /// The devices without which nobody hears this one, all others engaged.
    pub fn hosts(&self, board: &Board, device: DeviceId) -> Vec<DeviceId> {
        let hosts = board.devices.ids().filter(|host| *host != device);
        let apart = |host: &DeviceId| {
            let without = |d: DeviceId| if d == *host { Answer::No } else { Answer::Yes };
            self.cut_off(board, &without).contains(&device)
        };
        hosts.filter(apart).collect()
    }

    /// The devices of the insert or the leg in which a lead lies: they are lost with it. None for a lead that lies in none.
    pub fn beside(&self, board: &Board, edge: usize) -> Option<Vec<DeviceId>> {
        let edge = self.route.edges.get(edge)?;
        let own = |place: Place| match host(&self.route, board, place) {
            Some(device) => Some(device),
            None => {
                let hosts = self.hosts(board, self.route.device_at(place)?);
                // The innermost: others host it in turn.
                hosts.into_iter().max_by_key(|h| self.hosts(board, *h).len())
            }
        };
        let wanted = own(edge.from).or_else(|| own(edge.to))?;
        let inner = |device: &DeviceId| self.hosts(board, *device).contains(&wanted);
        let mut found: Vec<DeviceId> = Vec::new();
        let mut open = vec![(edge.to, true), (edge.from, false)];
        let mut seen = Vec::new();
        while let Some((place, on)) = open.pop() {
            let device = self.route.device_at(place).filter(inner);
            if seen.contains(&(place, on)) {
                continue;
            }
            seen.push((place, on));
            let Some(device) = device else { continue };
            found.push(device);
            let edges = self.route.edges.iter();
            open.extend(
                edges
                    .filter(|e| if on { e.from == place } else { e.to == place })
                    .map(|e| (if on { e.to } else { e.from }, on)),
            );
        }
        found.sort_unstable();
        found.dedup();
        Some(found)
    }

    fn reach(&self, board: &Board, from: Vec<Place>, sounds: &dyn Fn(DeviceId) -> Answer) -> Reach {
        let mut reach = Reach::default();
        let mut open = from;
        while let Some(place) = open.pop() {
            if reach.from.contains(&place) {
                continue;
            }
            reach.from.push(place);
            for to in self.route.leaving(place).iter().filter_map(|e| self.route.edges.get(*e)).map(|e| e.to) {
                if !reach.came.contains(&to) {
                    reach.came.push(to);
                    open.extend(self.goes_on(board, to, sounds));
                }
            }
        }
        reach
    }

    /// Where a signal that comes to a place goes on from.
    fn goes_on(&self, board: &Board, place: Place, sounds: &dyn Fn(DeviceId) -> Answer) -> Vec<Place> {
        let stays = |d: DeviceId| board.devices.get(d).is_some_and(|d| d.electric.insert_stays.is_some());
        if let Some(device) = self.route.goes_into(board, place) {
            let stays = matches!(place, Place::Return(_)) && stays(device);
            let heard = stays || sounds(device) != Answer::No;
            return heard.then(|| self.route.place_of(board, device)).into_iter().collect();
        }
        let device = match place {
            Place::Amp(amp) => return vec![Place::Send(amp)],
            Place::Key(_) => return Vec::new(),
            place => match self.route.device_at(place) {
                Some(device) => device,
                None => return vec![place],
            },
        };
        let on = sounds(device);
        let plugged = self.route.arrives(Place::Return(device));
        let mut out = Vec::new();
        if on != Answer::Yes && !(plugged && stays(device)) {
            out.push(place);
        }
        if on != Answer::No || stays(device) {
            let legs = board.devices.get(device).map_or(0, |d| d.electric.legs.len() as u16);
            let straight = (0..legs).any(|leg| !self.route.arrives(Place::LegReturn(device, leg)));
            if straight || legs == 0 && !plugged {
                out.push(place);
            }
            out.extend(self.route.sends(board, device));
        }
        out
    }

    /// What comes to a place is heard, or seen.
    fn ends(&self, board: &Board, place: Place) -> bool {
        match place {
            Place::Output(_) | Place::Amp(_) => true,
            Place::Return(_) => self.route.goes_into(board, place).is_none(),
            Place::Device(_) => self.route.leaving(place).is_empty(),
            _ => false,
        }
    }
}

/// The device, no amp, that a jack is an insert's or a leg's of.
fn host(route: &Route, board: &Board, place: Place) -> Option<DeviceId> {
    match place {
        Place::Send(d) => route.goes_into(board, Place::Return(d)),
        Place::LegSend(d, leg) => route.goes_into(board, Place::LegReturn(d, leg)),
        place => route.goes_into(board, place),
    }
}
