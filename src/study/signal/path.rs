//! The path of one scene and one guitar: from the route and the cells to segments, and what is missing for them.

use super::circuit::{Circuit, Feed, Segment, Source};
use super::gather::Gathered;
use crate::book::Book;
use crate::book::electric::Electric;
use crate::ids::DeviceId;
use crate::settle::Value;
use crate::study::route::{Place, Route, Wire};

/// A value that somebody has to state before a figure can be given.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Missing {
    /// Of a guitar: its index.
    Pickup(usize),
    Volume(usize),
    Cable(usize),
    /// Of a device: its index.
    Input(DeviceId),
    Output(DeviceId),
    Gain(DeviceId),
    Send(DeviceId),
    Return(DeviceId),
    Key(DeviceId),
    /// How loud a leg of a device comes into its sum, in dB: the leg's number.
    Leg(DeviceId, u16),
    /// Of a leg whose level is not set by the preset: a foot moves it, or it stays as it is.
    Moved(DeviceId, u16),
    /// Of the patch leads.
    Patch,
    /// A loop whose state is not known: its number.
    Loop(u16),
    /// A device that may be engaged or bypassed, by its own control: its index.
    Engaged(DeviceId),
    /// An output whose state is not known: its number.
    Switched(u16),
    /// The chains run in a circle.
    Circle,
}

/// What drives a segment.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum From {
    Guitar(usize),
    Device(DeviceId),
    Send(DeviceId),
    /// Where a leg leaves a device.
    LegSend(DeviceId, u16),
    /// A buffer that was put into an edge, by its number.
    Buffer(usize),
}

/// Where a segment ends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum To {
    Device(DeviceId),
    Amp(DeviceId),
    Return(DeviceId),
    /// Where a leg comes back.
    Leg(DeviceId, u16),
    /// A key input: it loads, and nothing goes on from it.
    Key(DeviceId),
    Buffer(usize),
    /// A tuner, which is watched and not heard.
    Tuner(DeviceId),
    /// Nothing is plugged there.
    Open,
}

/// A segment's names beside its numbers.
#[derive(Clone, PartialEq, Debug)]
pub struct Stretch {
    /// What drives it.
    pub from: From,
    /// What loads it; the first is where the path goes on.
    pub to: Vec<To>,
}

/// A resolved path.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Path {
    /// The circuit. Where a value is missing it holds a number that must not be used: ask `missing`.
    pub circuit: Circuit,
    /// Names, one a segment.
    pub stretches: Vec<Stretch>,
    /// What is missing, sorted.
    pub missing: Vec<Missing>,
    /// The amp at the end, an index of devices.
    pub amp: Option<DeviceId>,
    /// Devices whose legs were added as magnitudes, as nobody says how they stand to each other.
    pub as_magnitudes: Vec<DeviceId>,
    /// No output is on: nothing is heard.
    pub silent: bool,
    /// A lead before the first device that loads the guitar has no capacitance stated.
    pub unsure_of_guitar_load: bool,
}

/// Where a segment begins.
#[derive(Clone, Copy)]
pub(super) enum Begin {
    /// At a place of the chain.
    At(Place),
    /// At the output of the pedal in a loop.
    Loop(u16),
    /// At a buffer that was put at the head of an edge.
    Behind(usize),
}

/// A buffer to try: its place, and its impedances in ohm.
#[derive(Clone, Copy, Debug)]
pub struct Tried<'b> {
    /// The edges that hold one.
    pub edges: &'b [usize],
    /// What it loads, in ohm.
    pub input: f64,
    /// What stands behind its output, in ohm.
    pub output: f64,
}

impl Tried<'_> {
    /// None at all.
    pub const NONE: Tried<'static> = Tried { edges: &[], input: 1.0, output: 0.0 };
}

/// Resolves one path.
pub struct PathFinder<'w> {
    pub book: &'w Book,
    pub route: &'w Route,
    /// Loop cells from loop 1 on, then output cells from output 1 on.
    pub loops: &'w [Value],
    pub outputs: &'w [Value],
    /// Devices that a control of their own engages, and how they stand.
    pub switched: &'w [(DeviceId, Value)],
    /// How loud each leg comes into its sum, in dB: device, leg; None where that is not known.
    pub levels: &'w [(DeviceId, u16, Option<f64>)],
    pub tried: Tried<'w>,
    pub guitar: usize,
}

/// What a walk is after.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Goal {
    /// The lowest output that is on.
    Heard,
    /// A jack of a device: an insert's return, a leg.
    Jack(Place),
}

/// A walk: the path so far, and what else is known of its segments.
#[derive(Default)]
pub(super) struct Walk {
    pub path: Path,
    /// The ends of each segment.
    ends: Vec<Vec<(To, u16)>>,
    /// Devices whose insert or legs are being followed: who meets one again runs in a circle.
    pub busy: Vec<DeviceId>,
    /// The way so far, to each goal: who comes by a place again runs in a circle.
    trail: Vec<(From, Goal)>,
    /// It ended somewhere as something is not known.
    unsure: bool,
}

impl Walk {
    pub(super) fn segment_of(&self, from: From) -> Option<usize> {
        self.path.stretches.iter().position(|s| s.from == from)
    }
}

impl<'w> PathFinder<'w> {
    /// The path of the guitar to the lowest-numbered output that is on, and round the effects loop of its amp.
    /// None when no chain starts at the guitar.
    pub fn path(&self) -> Option<Path> {
        self.route.start(self.guitar)?;
        let mut walk = Walk::default();
        let (source, missing) = self.pickup();
        walk.path.missing.extend(missing);
        let end = self.follow_guitar(&mut walk, source, Goal::Heard);
        let mut path = walk.path;
        path.silent = end.is_none() && !walk.unsure;
        path.circuit.straighten();
        path.missing.sort();
        path.missing.dedup();
        Some(path)
    }

    pub(super) fn follow_guitar(&self, walk: &mut Walk, source: Source, goal: Goal) -> Option<usize> {
        let begin = Begin::At(self.route.start(self.guitar)?);
        self.follow(
            walk,
            From::Guitar(self.guitar),
            Segment { source, ..Segment::default() },
            begin,
            Feed::default(),
            goal,
        )
    }

    fn pickup(&self) -> (Source, Vec<Missing>) {
        let guitar = self.book.board.guitars.get(self.guitar);
        let pickup = guitar.and_then(|g| g.pickup);
        let volume = guitar.and_then(|g| g.volume);
        let mut missing = Vec::new();
        missing.extend(pickup.is_none().then_some(Missing::Pickup(self.guitar)));
        missing.extend(volume.is_none().then_some(Missing::Volume(self.guitar)));
        let source = Source {
            ohm: pickup.map_or(0.0, |p| p.resistance.value()),
            henry: pickup.map_or(0.0, |p| p.inductance.value()),
            farad: pickup.map_or(0.0, |p| p.capacitance.value()),
            siemens: pickup.and_then(|p| p.loss).map_or(0.0, |ohm| 1.0 / ohm.value()),
            volume: volume.map(|v| (v.track.value(), v.position.value() / 100.0)),
        };
        (source, missing)
    }

    /// Walks from what drives `segment` towards the goal; the number of the segment at whose end it lies. None where it is
    /// not reached. What was walked before is not walked again.
    pub(super) fn follow(
        &self,
        walk: &mut Walk,
        from: From,
        segment: Segment,
        begin: Begin,
        feed: Feed,
        goal: Goal,
    ) -> Option<usize> {
        if walk.trail.contains(&(from, goal)) {
            walk.path.missing.push(Missing::Circle);
            walk.unsure = true;
            return None;
        }
        walk.trail.push((from, goal));
        let reached = match walk.segment_of(from) {
            Some(known) => {
                let ends = walk.ends.get(known).cloned().unwrap_or_default();
                self.on(walk, known, &ends, goal)
            }
            None => self.gather(walk, from, segment, begin, feed, goal),
        };
        walk.trail.pop();
        reached
    }

    /// A segment that was not walked yet.
    fn gather(
        &self,
        walk: &mut Walk,
        from: From,
        segment: Segment,
        begin: Begin,
        feed: Feed,
        goal: Goal,
    ) -> Option<usize> {
        let mut gathered = Gathered::default();
        match begin {
            Begin::At(place) => self.spread(&mut gathered, place, 0),
            Begin::Loop(number) => {
                // From the pedal back into the switcher.
                let wire = self.route.in_loop.get(&number).map_or(Wire::Patch, |device| Wire::At(*device));
                self.wire(&mut gathered, wire);
                self.spread(&mut gathered, Place::Loop(number), 0);
            }
            Begin::Behind(edge) => self.behind(&mut gathered, edge),
        }
        let unsure = |m: &Missing| !matches!(m, Missing::Input(_) | Missing::Return(_) | Missing::Key(_));
        let path = &mut walk.path;
        path.unsure_of_guitar_load |= path.stretches.is_empty() && gathered.missing.iter().any(unsure);
        let found = self.goes_on(&gathered.ends, goal);
        walk.unsure |= found.is_none() && gathered.missing.iter().any(unsure);
        path.missing.append(&mut gathered.missing);
        gathered.ends.swap(0, *found.as_ref()?);
        let number = path.stretches.len();
        path.circuit.segments.push(Segment { farad: gathered.farad, loads: gathered.loads, ..segment });
        path.circuit.feeds.push(feed);
        path.stretches.push(Stretch { from, to: gathered.ends.iter().map(|(to, _)| *to).collect() });
        walk.ends.push(gathered.ends.clone());
        self.on(walk, number, &gathered.ends, goal)
    }

    /// Goes on from the end of a segment: to what is heard by the end that leads to the lowest output, to a jack by whichever
    /// gets there.
    fn on(&self, walk: &mut Walk, at: usize, ends: &[(To, u16)], goal: Goal) -> Option<usize> {
        let mut left: Vec<(To, u16)> = ends.to_vec();
        while let Some(next) = self.goes_on(&left, goal) {
            let (to, _) = left.remove(next);
            let reached = self.beyond(walk, to, at, goal);
            if reached.is_some() || goal == Goal::Heard {
                return reached;
            }
        }
        None
    }

    /// Goes on behind the end of a segment.
    fn beyond(&self, walk: &mut Walk, end: To, at: usize, goal: Goal) -> Option<usize> {
        let plain = |ohm: f64| Segment { source: Source { ohm, ..Source::default() }, ..Segment::default() };
        let heard = (goal == Goal::Heard).then_some(at);
        match end {
            _ if ahead(end).is_some_and(|place| goal == Goal::Jack(place)) => Some(at),
            To::Device(device) => self.through(walk, device, at, goal),
            To::Leg(device, _) => self.add_up(walk, device, goal),
            To::Return(device) if self.route.goes_into(&self.book.board, Place::Return(device)).is_some() => {
                self.out_of(walk, device, Feed::of(at), goal)
            }
            To::Buffer(edge) => {
                let behind = Begin::Behind(edge);
                self.follow(walk, From::Buffer(edge), plain(self.tried.output), behind, Feed::of(at), goal)
            }
            To::Amp(amp) => {
                walk.path.amp = heard.map(|_| amp).or(walk.path.amp);
                if self.route.leaving(Place::Send(amp)).is_empty() {
                    return heard;
                }
                let send = self.facts(amp).and_then(|f| f.send);
                walk.path.missing.extend(send.is_none().then_some(Missing::Send(amp)));
                let segment = plain(send.map_or(0.0, |s| s.value.value()));
                self.follow(walk, From::Send(amp), segment, Begin::At(Place::Send(amp)), Feed::of(at), goal)
            }
            To::Return(_) | To::Tuner(_) | To::Open => heard,
            To::Key(_) => None,
        }
    }

    /// Goes on behind the output of a device.
    pub(super) fn out_of(&self, walk: &mut Walk, device: DeviceId, feed: Feed, goal: Goal) -> Option<usize> {
        let facts = self.facts(device);
        let output = facts.and_then(|f| f.output);
        let gain = facts.and_then(|f| f.gain).map(|g| g.level.value.value());
        // Bypassed by itself, with its insert in, it only lends its jacks.
        let off = self.switched(device) == Some(Value::Off);
        let gain = if off { Some(0.0) } else { gain };
        let missing = &mut walk.path.missing;
        missing.extend(output.is_none().then_some(Missing::Output(device)));
        missing.extend(gain.is_none().then_some(Missing::Gain(device)));
        let begin = match self.route.place_of(&self.book.board, device) {
            Place::Loop(number) => Begin::Loop(number),
            place => Begin::At(place),
        };
        let source = Source { ohm: output.map_or(0.0, |o| o.value.value()), ..Source::default() };
        let segment = Segment { source, gain: gain.unwrap_or(0.0), ..Segment::default() };
        let feed = Feed { turned: !off && facts.is_some_and(|f| f.inverts), ..feed };
        self.follow(walk, From::Device(device), segment, begin, feed, goal)
    }

    /// The end at which the path goes on: the one that leads to the lowest output, an open end only when all are; or one
    /// that leads to a jack. None where nothing does: a tuner and a key input are no ends of what is heard.
    fn goes_on(&self, ends: &[(To, u16)], goal: Goal) -> Option<usize> {
        let ends = ends.iter().enumerate().filter(|(_, (to, _))| !matches!(to, To::Tuner(_) | To::Key(_)));
        let board = &self.book.board;
        let Goal::Jack(wanted) = goal else {
            let rank = |(to, output): &(To, u16)| {
                let ahead = match to {
                    To::Amp(_) | To::Open => *output,
                    To::Return(d) if self.route.goes_into(board, Place::Return(*d)).is_none() => *output,
                    To::Buffer(edge) => {
                        self.route.edges.get(*edge).map_or(u16::MAX, |e| self.lowest(e.to, &mut Vec::new()))
                    }
                    to => self.place(*to).map_or(u16::MAX, |place| self.lowest(place, &mut Vec::new())),
                };
                (*to == To::Open, ahead)
            };
            return ends.min_by_key(|(i, end)| (rank(end), *i)).map(|(i, _)| i);
        };
        let leads = |to: To| match to {
            To::Buffer(edge) => {
                self.route.edges.get(edge).is_some_and(|e| e.to == wanted || self.leads_to(e.to, wanted))
            }
            to => ahead(to) == Some(wanted) || self.place(to).is_some_and(|place| self.leads_to(place, wanted)),
        };
        let near = |to: To| ahead(to) != Some(wanted);
        ends.filter(|(_, (to, _))| leads(*to)).min_by_key(|(i, (to, _))| (near(*to), *i)).map(|(i, _)| i)
    }

    /// The place at which an end stands.
    fn place(&self, end: To) -> Option<Place> {
        match end {
            To::Device(device) => Some(self.route.place_of(&self.book.board, device)),
            end => ahead(end),
        }
    }

    /// The lowest output that is on and can be reached from a place, whatever the loops do.
    pub(super) fn lowest(&self, place: Place, seen: &mut Vec<Place>) -> u16 {
        if seen.contains(&place) {
            return u16::MAX;
        }
        seen.push(place);
        if let Place::Output(number) = place {
            return if self.passes(number) == Some(true) { number } else { u16::MAX };
        }
        let ahead = self.route.onward(&self.book.board, place).into_iter();
        ahead.map(|to| self.lowest(to, seen)).min().unwrap_or(u16::MAX)
    }

    /// Whether a place leads to another, whatever the loops do.
    pub(super) fn leads_to(&self, place: Place, wanted: Place) -> bool {
        self.route.leads_to(&self.book.board, place, wanted)
    }

    pub(super) fn facts(&self, device: DeviceId) -> Option<&'w Electric> {
        self.book.board.devices.get(device).map(|d| &d.electric)
    }

    /// Its insert stays in while it is bypassed.
    pub(super) fn stays(&self, device: DeviceId) -> bool {
        self.facts(device).is_some_and(|f| f.insert_stays.is_some()) && self.route.arrives(Place::Return(device))
    }

    /// Whether an output lets the signal through; None when that is not known. On a board where no amp says
    /// what feeds it, an output that the cells leave off may still be the one in use.
    pub(super) fn passes(&self, number: u16) -> Option<bool> {
        match self.outputs.get(usize::from(number).wrapping_sub(1)) {
            Some(Value::On) => Some(true),
            Some(Value::Off) => Some(!self.route.amps_fed),
            _ => None,
        }
    }

    pub(super) fn switched(&self, device: DeviceId) -> Option<Value> {
        self.switched.iter().find(|(d, _)| *d == device).map(|(_, value)| *value)
    }

    /// A tuner, from which no lead goes on.
    pub(super) fn watched(&self, device: DeviceId) -> bool {
        self.book.board.devices.get(device).is_some_and(|d| d.watched())
            && self.route.leaving(Place::Device(device)).is_empty()
    }
}

/// The place at which an end stands, where that is a jack of its own.
fn ahead(end: To) -> Option<Place> {
    match end {
        To::Device(d) | To::Tuner(d) => Some(Place::Device(d)),
        To::Amp(d) => Some(Place::Amp(d)),
        To::Return(d) => Some(Place::Return(d)),
        To::Leg(d, leg) => Some(Place::LegReturn(d, leg)),
        To::Key(d) => Some(Place::Key(d)),
        To::Buffer(_) | To::Open => None,
    }
}
