//! The switcher is dead: the shortest line of leads from the guitar to an amplifier that has every pedal in it that what is
//! played asks for.

use super::Told;
use super::heard::Mark;
use crate::book::DeviceKind;
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::Setting;
use crate::study::route::Place;

/// A line past the switcher.
#[derive(Clone, PartialEq, Debug)]
pub struct Patch {
    /// The amp that is heard in most plays.
    pub amp: DeviceId,
    /// What stands before its input, and between its send and its return, in the direction of the signal.
    pub front: Vec<DeviceId>,
    pub effects: Vec<DeviceId>,
    /// How many leads the line takes: one more than it has boxes, before the amp and in its effects loop each.
    pub leads: usize,
    /// In how many plays each box of the line is heard, the fewest first.
    pub worth: Vec<(DeviceId, usize)>,
    /// Plays that are heard and that no box of the line is heard in.
    pub plain: usize,
    /// Amps that stay silent and are heard otherwise, and pedals that no play asks for.
    pub silent: Vec<DeviceId>,
    pub unused: Vec<DeviceId>,
    /// Controls that plays want in more than one state, and that a hand sets then.
    pub by_hand: Vec<(DeviceId, ControlId)>,
    /// No chain says the order: it is that of the loops.
    pub unsaid: bool,
}

pub(super) fn of(told: &Told<'_>) -> Option<Patch> {
    let board = &told.book.board;
    let kind = |d: DeviceId| board.devices.get(d).map(|d| d.kind);
    let amps = || board.devices.ids().filter(|d| kind(*d) == Some(DeviceKind::Amp) && told.sounds(*d) > 0);
    let amp = amps().max_by_key(|amp| (told.sounds(*amp), std::cmp::Reverse(*amp)))?;
    let needed = |d: &DeviceId| kind(*d) != Some(DeviceKind::Amp) && told.sounds(*d) > 0;
    let starts: Vec<Place> =
        told.route.edges.iter().map(|e| e.from).filter(|p| matches!(p, Place::Guitar(_))).collect();
    let line = starts.iter().find_map(|start| way(told, *start, Place::Amp(amp)));
    let loops = way(told, Place::Send(amp), Place::Return(amp));
    let unsaid = line.is_none();
    // What is in no chain on the way stands where its loop does.
    let effects: Vec<DeviceId> = loops.unwrap_or_default().into_iter().filter(needed).collect();
    let mut front: Vec<DeviceId> = line.unwrap_or_default().into_iter().filter(needed).collect();
    let rest = board.devices.ids().filter(|d| needed(d) && !front.contains(d) && !effects.contains(d));
    let rest: Vec<DeviceId> = if unsaid { rest.collect() } else { Vec::new() };
    front.extend(rest);
    let boxes = |list: &[DeviceId]| if list.is_empty() { 0 } else { list.len() + 1 };
    let leads = front.len() + 1 + boxes(&effects);
    let all: Vec<DeviceId> = front.iter().chain(&effects).copied().collect();
    let mut worth: Vec<(DeviceId, usize)> = all.iter().map(|d| (*d, told.sounds(*d))).collect();
    worth.sort_by_key(|(device, plays)| (*plays, *device));
    let pedals = |d: DeviceId| !matches!(kind(d), Some(DeviceKind::Amp) | None);
    let unused = board.devices.ids().filter(|d| pedals(*d) && !all.contains(d) && !watched(told, *d));
    Some(Patch {
        amp,
        leads,
        worth,
        plain: plain(told, &all),
        silent: amps().filter(|other| *other != amp).collect(),
        unused: unused.collect(),
        by_hand: by_hand(told, &all, amp),
        unsaid,
        front,
        effects,
    })
}

fn watched(told: &Told<'_>, device: DeviceId) -> bool {
    told.book.board.devices.get(device).is_some_and(crate::book::Device::watched)
}

/// The devices on the way from one place to another, by the first way that the chains say.
fn way(told: &Told<'_>, from: Place, to: Place) -> Option<Vec<DeviceId>> {
    let mut before: Vec<(Place, Option<usize>)> = vec![(from, None)];
    let mut at = 0;
    while let Some((place, _)) = before.get(at).copied() {
        if place == to {
            let mut places = Vec::new();
            let mut here = Some(at);
            while let Some((place, back)) = here.and_then(|h| before.get(h)).copied() {
                places.push(place);
                here = back;
            }
            places.reverse();
            let device = |place: Place| match place {
                Place::Loop(n) => told.route.in_loop.get(&n).copied(),
                Place::Device(d) => Some(d),
                _ => None,
            };
            return Some(places.into_iter().filter_map(device).collect());
        }
        for edge in told.route.leaving(place).iter().filter_map(|e| told.route.edges.get(*e)) {
            if !before.iter().any(|(known, _)| *known == edge.to) {
                before.push((edge.to, Some(at)));
            }
        }
        at += 1;
    }
    None
}

/// Plays that are heard, with none of these in them.
fn plain(told: &Told<'_>, boxes: &[DeviceId]) -> usize {
    let columns = told.columns.list.iter().enumerate().filter(|(_, c)| c.control.is_none());
    let of: Vec<usize> = columns.filter(|(_, c)| boxes.contains(&c.device)).map(|(at, _)| at).collect();
    let heard = |scene: SceneId| told.heard(scene).contains(&Mark::In);
    let has = |scene: SceneId| of.iter().any(|at| told.heard(scene).get(*at) == Some(&Mark::In));
    told.plays.iter().filter(|p| heard(p.scene) && !has(p.scene)).count()
}

/// Controls of these, and of the amp, that stand in more than one way while they are heard.
fn by_hand(told: &Told<'_>, boxes: &[DeviceId], amp: DeviceId) -> Vec<(DeviceId, ControlId)> {
    let mut out = Vec::new();
    for (at, column) in told.columns.list.iter().enumerate() {
        let Some(control) = column.control else { continue };
        let device = column.device;
        if device != amp && !boxes.contains(&device) {
            continue;
        }
        let marks = told.plays.iter().filter_map(|p| told.heard(p.scene).get(at).copied());
        let mut ways: Vec<Setting> = Vec::new();
        for mark in marks {
            if let Mark::Set(setting) = mark
                && !ways.contains(&setting)
            {
                ways.push(setting);
            }
        }
        if ways.len() > 1 {
            out.push((column.device, control));
        }
    }
    out
}
