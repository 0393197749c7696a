//! What a device does between its input and its output: an insert, or legs that it throws together.

use super::circuit::{Feed, Leg, Segment, Source};
use super::path::{Begin, From, Goal, Missing, PathFinder, Walk};
use crate::book::electric::{self, LegLevel};
use crate::ids::DeviceId;
use crate::study::route::Place;
use crate::syntax::units::Dimension;

impl PathFinder<'_> {
    /// Goes on through a device from its input: by its output, or by a send that leads nearer to the goal.
    pub(super) fn through(&self, walk: &mut Walk, device: DeviceId, at: usize, goal: Goal) -> Option<usize> {
        if let Some(send) = self.tap(device, goal) {
            return self.sent(walk, device, send, at, goal);
        }
        // Its output is known already: what feeds it too.
        if walk.segment_of(From::Device(device)).is_some() {
            return self.out_of(walk, device, Feed::default(), goal);
        }
        let own = self.route.arrives(Place::Return(device));
        let feed = if self.facts(device).is_some_and(|f| !f.legs.is_empty()) {
            self.sum(walk, device, Some(at))?
        } else if own {
            Feed::of(self.insert(walk, device, at)?)
        } else {
            Feed::of(at)
        };
        self.out_of(walk, device, feed, goal)
    }

    /// Goes on through a device from one of its legs.
    pub(super) fn add_up(&self, walk: &mut Walk, device: DeviceId, goal: Goal) -> Option<usize> {
        let known = walk.segment_of(From::Device(device)).is_some();
        let feed = if known { Feed::default() } else { self.sum(walk, device, None)? };
        self.out_of(walk, device, feed, goal)
    }

    /// A send that only branches off, where it and not the output leads to the goal, or to a lower output.
    fn tap(&self, device: DeviceId, goal: Goal) -> Option<Place> {
        let board = &self.book.board;
        let home = self.route.place_of(board, device);
        let back = |send: Place| match send {
            Place::LegSend(d, leg) => self.leads_to(send, Place::LegReturn(d, leg)),
            send => self.leads_to(send, Place::Return(device)),
        };
        let taps: Vec<Place> = self.route.sends(board, device).into_iter().filter(|s| !back(*s)).collect();
        if taps.is_empty() {
            return None;
        }
        let ahead =
            |place: Place| self.route.leaving(place).iter().filter_map(|e| self.route.edges.get(*e)).map(|e| e.to);
        let far = |place: Place| match goal {
            Goal::Heard => ahead(place).map(|to| self.lowest(to, &mut vec![home])).min().unwrap_or(u16::MAX),
            Goal::Jack(wanted) => u16::from(!ahead(place).any(|to| to == wanted || self.leads_to(to, wanted))),
        };
        let out = far(home);
        taps.into_iter().map(|send| (far(send), send)).filter(|(far, _)| *far < out).min().map(|(_, send)| send)
    }

    /// Goes on behind a send.
    fn sent(&self, walk: &mut Walk, device: DeviceId, send: Place, at: usize, goal: Goal) -> Option<usize> {
        let ohm = self.facts(device).and_then(|f| f.send);
        walk.path.missing.extend(ohm.is_none().then_some(Missing::Send(device)));
        let source = Source { ohm: ohm.map_or(0.0, |o| o.value.value()), ..Source::default() };
        let from = match send {
            Place::LegSend(_, leg) => From::LegSend(device, leg),
            _ => From::Send(device),
        };
        self.follow(walk, from, Segment { source, ..Segment::default() }, Begin::At(send), Feed::of(at), goal)
    }

    /// What comes back from an insert: the segment at whose end its return lies.
    fn insert(&self, walk: &mut Walk, device: DeviceId, at: usize) -> Option<usize> {
        let (send, back) = (Place::Send(device), Place::Return(device));
        if !self.enter(walk, device) {
            return None;
        }
        let found = if self.leads_to(send, back) {
            self.sent(walk, device, send, at, Goal::Jack(back))
        } else {
            self.follow_guitar(walk, Source::default(), Goal::Jack(back))
        };
        walk.busy.pop();
        found
    }

    /// What a device throws together: a leg that nothing is plugged into hears what the device hears, one with a send of its
    /// own what comes back from there, any other what a chain brings. None where nothing comes.
    fn sum(&self, walk: &mut Walk, device: DeviceId, main: Option<usize>) -> Option<Feed> {
        if !self.enter(walk, device) {
            return None;
        }
        let mut legs = Vec::new();
        for (leg, number) in self.facts(device).map_or(&[][..], |f| f.legs.as_slice()).iter().zip(0u16..) {
            let (send, back) = (Place::LegSend(device, number), Place::LegReturn(device, number));
            let of = if !self.route.arrives(back) {
                main
            } else if self.leads_to(send, back) {
                main.and_then(|at| self.sent(walk, device, send, at, Goal::Jack(back)))
            } else {
                self.follow_guitar(walk, Source::default(), Goal::Jack(back))
            };
            let Some(of) = of else { continue };
            let level =
                self.levels.iter().find(|(d, l, _)| (*d, *l) == (device, number)).and_then(|(_, _, level)| *level);
            walk.path.missing.extend(level.is_none().then(|| self.unknown(device, number, leg)));
            legs.push(Leg { of, gain: level.unwrap_or(0.0), turned: leg.inverts });
        }
        walk.busy.pop();
        let known = legs.len() < 2 || self.polarity_known(walk, &legs);
        if !known {
            walk.path.as_magnitudes.push(device);
        }
        (!legs.is_empty()).then_some(Feed { legs, known, turned: false })
    }

    /// Why the level of a leg is not known.
    fn unknown(&self, device: DeviceId, number: u16, leg: &electric::Leg) -> Missing {
        let LegLevel::By(control) = leg.level else { return Missing::Leg(device, number) };
        let found = self.book.board.devices.get(device).and_then(|d| d.controls.get(control));
        let range = found.and_then(|c| c.how.level());
        match range.map(|(from, _)| from.dimension) {
            Some(Dimension::Decibel) => Missing::Moved(device, number),
            _ => Missing::Leg(device, number),
        }
    }

    /// Notes that the insert or the legs of a device are followed; false where they are already.
    fn enter(&self, walk: &mut Walk, device: DeviceId) -> bool {
        let new = !walk.busy.contains(&device);
        if new {
            walk.busy.push(device)
        } else {
            walk.path.missing.push(Missing::Circle)
        }
        new
    }

    /// Of every device on a leg that is not on all of them it is said whether it turns the signal upside down.
    fn polarity_known(&self, walk: &Walk, legs: &[Leg]) -> bool {
        let circuit = &walk.path.circuit;
        let ways: Vec<Vec<usize>> = legs.iter().map(|leg| circuit.behind(leg.of)).collect();
        let common = |segment: &usize| ways.iter().all(|way| way.contains(segment));
        let told = |segment: &usize| {
            let summed = circuit.feeds.get(*segment).is_none_or(|feed| feed.known || feed.legs.len() < 2);
            let from = walk.path.stretches.get(*segment).map(|s| s.from);
            summed
                && match from {
                    Some(From::Device(device)) => self.facts(device).is_some_and(|f| f.inverts || f.keeps.is_some()),
                    // What an amplifier does before its send is not said.
                    Some(From::Send(device)) => self.route.goes_into(&self.book.board, Place::Return(device)).is_some(),
                    _ => true,
                }
        };
        ways.iter().flatten().filter(|segment| !common(segment)).all(told)
    }
}
