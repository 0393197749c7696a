//! Which devices come after which along the chains, and where two that sound changed places.

use rustc_hash::FxHashMap;

use crate::Compiled;
use crate::book::LoopOrder;
use crate::compare::pairing::Matched;
use crate::ids::{DeviceId, SceneId};
use crate::settle::{Answer, Row, Value};
use crate::study::route::{Place, Route};

/// Pairs of devices that changed places, as the new book numbers them: old first, then old second.
pub(super) struct Orders {
    flipped: Vec<(DeviceId, DeviceId)>,
    /// The old book's number of each.
    old: FxHashMap<DeviceId, DeviceId>,
    /// The new book's number of each device of the old one, where presets have orders of their own.
    new: FxHashMap<DeviceId, DeviceId>,
}

impl Orders {
    /// Compares the chains of two books.
    pub(super) fn new(old: &Compiled, new: &Compiled, matched: &Matched) -> Orders {
        let translated = |d: DeviceId| matched.devices.new_of(d);
        let was: Vec<(DeviceId, DeviceId)> =
            behind(old.route()).into_iter().filter_map(|(a, b)| Some((translated(a)?, translated(b)?))).collect();
        let mut now = behind(new.route());
        now.sort_unstable();
        let mut sorted = was.clone();
        sorted.sort_unstable();
        let has = |list: &[(DeviceId, DeviceId)], a: DeviceId, b: DeviceId| list.binary_search(&(a, b)).is_ok();
        let turned = |(a, b): &(DeviceId, DeviceId)| !has(&sorted, *b, *a) && has(&now, *b, *a) && !has(&now, *a, *b);
        let flipped: Vec<(DeviceId, DeviceId)> = was.into_iter().filter(turned).collect();
        let named = flipped.iter().flat_map(|(a, b)| [*a, *b]);
        let olds = named.filter_map(|d| Some((d, matched.devices.old_of(d)?))).collect();
        let ordered = |c: &Compiled| c.book.board.switcher.as_ref().is_some_and(|s| s.ordered);
        let own = if ordered(old) || ordered(new) { old.book.board.devices.len() } else { 0 };
        let own = (0..own).map(DeviceId::nth);
        let news = own.filter_map(|d| Some((d, matched.devices.new_of(d)?))).collect();
        Orders { flipped, old: olds, new: news }
    }

    /// The same of pedals in loops whose order a preset has of its own.
    fn moved(
        &self,
        (old, from): (&Compiled, SceneId),
        (new, to): (&Compiled, SceneId),
    ) -> Option<(Vec<String>, Vec<String>)> {
        if self.new.is_empty() {
            return None;
        }
        let was: Vec<DeviceId> = passed(old, from).into_iter().filter_map(|d| self.new.get(&d).copied()).collect();
        let now = passed(new, to);
        let was: Vec<DeviceId> = was.into_iter().filter(|d| now.contains(d)).collect();
        let now: Vec<DeviceId> = now.into_iter().filter(|d| was.contains(d)).collect();
        let name = |d: DeviceId| new.book.board.devices.get(d).map_or(String::new(), |d| d.name.clone());
        let apart = || was.iter().zip(&now).filter(|(a, b)| a != b);
        let names = (apart().map(|(a, _)| name(*a)).collect(), apart().map(|(_, b)| name(*b)).collect());
        apart().next().map(|_| names)
    }

    /// No two devices changed places.
    pub(super) fn same(&self) -> bool {
        self.flipped.is_empty()
    }

    /// The devices of a scene that sound in both books in another order: their names, in the old order and in the new one.
    pub(super) fn turned(
        &self,
        (old, from): (&Compiled, SceneId),
        (new, to): (&Compiled, SceneId),
    ) -> Option<(Vec<String>, Vec<String>)> {
        let moved = self.moved((old, from), (new, to));
        if self.same() || moved.is_some() {
            return moved;
        }
        let (was, now) = (Row::of(&old.book, &old.table, from), Row::of(&new.book, &new.table, to));
        if !heard(old, &was) || !heard(new, &now) {
            return None;
        }
        let sounds = |d: DeviceId| {
            now.sounds(d) == Answer::Yes && self.old.get(&d).is_some_and(|old| was.sounds(*old) == Answer::Yes)
        };
        let pairs: Vec<(DeviceId, DeviceId)> =
            self.flipped.iter().copied().filter(|(a, b)| sounds(*a) && sounds(*b)).collect();
        let mut named: Vec<DeviceId> = pairs.iter().flat_map(|(a, b)| [*a, *b]).collect();
        named.sort_unstable();
        named.dedup();
        let name = |d: &DeviceId| new.book.board.devices.get(*d).map_or(String::new(), |d| d.name.clone());
        let along = |route: &Route, number: &dyn Fn(DeviceId) -> Option<DeviceId>| {
            let order = behind(route);
            // Who has more of them before it comes later.
            let before = |d: &DeviceId| {
                named.iter().filter(|o| number(**o).zip(number(*d)).is_some_and(|p| order.contains(&p))).count()
            };
            let mut list: Vec<(usize, &DeviceId)> = named.iter().map(|d| (before(d), d)).collect();
            list.sort_unstable();
            list.into_iter().map(|(_, d)| name(d)).collect::<Vec<String>>()
        };
        let was = along(old.route(), &|d| self.old.get(&d).copied());
        (!named.is_empty()).then(|| (was, along(new.route(), &Some)))
    }
}

/// The pedals in the unit's loops that sound, in the order in which the signal passes them.
fn passed(compiled: &Compiled, scene: SceneId) -> Vec<DeviceId> {
    let (board, cells) = (&compiled.book.board, &compiled.table.cells);
    let row = Row::of(&compiled.book, &compiled.table, scene);
    let order = match cells.order_cell().map(|cell| row.value(cell)) {
        Some(Value::Order(order)) => order,
        _ => LoopOrder::default(),
    };
    let in_loop = |l: u16| board.devices.position(|d| d.loop_at.is_some_and(|at| at.value == l));
    let passed = order.passed(board).into_iter().filter_map(in_loop);
    passed.filter(|d| row.sounds(*d) == Answer::Yes).collect()
}

/// Some amplifier is fed, where the book says which output feeds one.
fn heard(compiled: &Compiled, row: &Row<'_>) -> bool {
    let mut fed = compiled.book.board.devices.numbered().filter(|(d, _)| d.fed_by.is_some()).peekable();
    fed.peek().is_none() || fed.any(|(_, d)| row.fed(d) != Answer::No)
}

/// Each device with each one that comes after it.
fn behind(route: &Route) -> Vec<(DeviceId, DeviceId)> {
    let device = |place: Place| match place {
        Place::Loop(number) => route.in_loop.get(&number).copied(),
        Place::Device(d) | Place::Amp(d) => Some(d),
        _ => None,
    };
    let mut starts: Vec<Place> = route.edges.iter().flat_map(|e| [e.from, e.to]).collect();
    starts.sort_unstable();
    starts.dedup();
    let mut out = Vec::new();
    for (start, first) in starts.into_iter().filter_map(|place| Some((place, device(place)?))) {
        let (mut open, mut seen) = (vec![start], Vec::new());
        while let Some(place) = open.pop() {
            if seen.contains(&place) {
                continue;
            }
            seen.push(place);
            if let Some(then) = device(place).filter(|_| place != start) {
                out.push((first, then));
            }
            open.extend(route.leaving(place).iter().filter_map(|e| route.edges.get(*e)).map(|e| e.to));
            // What an amplifier sends has passed it.
            if let Place::Amp(amp) = place {
                open.push(Place::Send(amp));
            }
        }
    }
    out
}
