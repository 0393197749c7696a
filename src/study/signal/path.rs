//! The path of one scene and one guitar: from the route and the cells to segments, and what is missing for them.

use super::circuit::{Circuit, Segment, Source};
use crate::book::Book;
use crate::book::electric::Electric;
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
    Input(usize),
    Output(usize),
    Gain(usize),
    Send(usize),
    Return(usize),
    /// Of the patch leads.
    Patch,
    /// A loop whose state is not known: its number.
    Loop(u16),
    /// A device that may be engaged or bypassed, by its own control: its index.
    Engaged(usize),
    /// An output whose state is not known: its number.
    Switched(u16),
    /// The chains run in a circle.
    Circle,
}

/// What drives a segment.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum From {
    Guitar(usize),
    Device(usize),
    Send(usize),
    /// A buffer that was put into an edge, by its number.
    Buffer(usize),
}

/// Where a segment ends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum To {
    Device(usize),
    Amp(usize),
    Return(usize),
    Buffer(usize),
    /// A tuner, which is watched and not heard.
    Tuner(usize),
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
    pub amp: Option<usize>,
    /// No output is on: nothing is heard.
    pub silent: bool,
    /// A lead before the first device that loads the guitar has no capacitance stated.
    pub unsure_of_guitar_load: bool,
}

/// Where a segment begins.
#[derive(Clone, Copy)]
enum Begin {
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
    pub switched: &'w [(usize, Value)],
    pub tried: Tried<'w>,
    pub guitar: usize,
}

/// A segment as it is gathered: leads and loads, and where the signal may go on.
#[derive(Default)]
struct Gathered {
    farad: f64,
    loads: Vec<f64>,
    /// Each end, and the output that the signal passed on the way to it; 0 for none.
    ends: Vec<(To, u16)>,
    missing: Vec<Missing>,
    /// Edges that were crossed: none is crossed twice.
    crossed: Vec<usize>,
}

impl<'w> PathFinder<'w> {
    /// The path of the guitar to the lowest-numbered output that is on, and round the effects loop of its amp.
    /// None when no chain starts at the guitar.
    pub fn path(&self) -> Option<Path> {
        let start = self.route.start(self.guitar)?;
        let mut path = Path::default();
        let (source, missing) = self.pickup();
        path.missing.extend(missing);
        self.follow(&mut path, From::Guitar(self.guitar), source, 0.0, Begin::At(start));
        path.missing.sort();
        path.missing.dedup();
        Some(path)
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

    /// Walks from one source to the end of the path.
    fn follow(&self, path: &mut Path, from: From, source: Source, gain: f64, begin: Begin) {
        if path.stretches.len() > 2 * (self.route.edges.len() + self.book.board.devices.len()) {
            return path.missing.push(Missing::Circle);
        }
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
        let unsure = |m: &Missing| !matches!(m, Missing::Input(_) | Missing::Return(_));
        path.unsure_of_guitar_load |= path.stretches.is_empty() && gathered.missing.iter().any(unsure);
        let Some(goes_on) = self.goes_on(&gathered.ends) else {
            path.silent = !gathered.missing.iter().any(unsure);
            path.missing.append(&mut gathered.missing);
            return;
        };
        gathered.ends.swap(0, goes_on);
        path.missing.append(&mut gathered.missing);
        path.circuit.segments.push(Segment { source, farad: gathered.farad, loads: gathered.loads, gain });
        let to: Vec<To> = gathered.ends.iter().map(|(to, _)| *to).collect();
        let next = to.first().copied().unwrap_or(To::Open);
        path.stretches.push(Stretch { from, to });
        self.beyond(path, next);
    }

    /// Goes on behind the end of a segment.
    fn beyond(&self, path: &mut Path, end: To) {
        let plain = |ohm: f64| Source { ohm, ..Source::default() };
        match end {
            To::Device(device) => {
                let facts = self.facts(device);
                let output = facts.and_then(|f| f.output);
                let gain = facts.and_then(|f| f.gain);
                path.missing.extend(output.is_none().then_some(Missing::Output(device)));
                path.missing.extend(gain.is_none().then_some(Missing::Gain(device)));
                let begin = match self.book.board.devices.get(device).and_then(|d| d.loop_at) {
                    Some(number) => Begin::Loop(number.value),
                    None => Begin::At(Place::Device(device)),
                };
                let (ohm, gain) =
                    (output.map_or(0.0, |o| o.value.value()), gain.map_or(0.0, |g| g.level.value.value()));
                self.follow(path, From::Device(device), plain(ohm), gain, begin);
            }
            To::Buffer(edge) => {
                self.follow(path, From::Buffer(edge), plain(self.tried.output), 0.0, Begin::Behind(edge));
            }
            To::Amp(amp) => {
                path.amp = Some(amp);
                if !self.route.leaving(Place::Send(amp)).is_empty() {
                    let send = self.facts(amp).and_then(|f| f.send);
                    path.missing.extend(send.is_none().then_some(Missing::Send(amp)));
                    let ohm = send.map_or(0.0, |s| s.value.value());
                    self.follow(path, From::Send(amp), plain(ohm), 0.0, Begin::At(Place::Send(amp)));
                }
            }
            To::Return(_) | To::Tuner(_) | To::Open => {}
        }
    }

    /// The end at which the path goes on: the one that leads to the lowest output; an open end only when all are. None
    /// where nothing is heard: a tuner is no end of what is heard.
    fn goes_on(&self, ends: &[(To, u16)]) -> Option<usize> {
        let rank = |(to, output): &(To, u16)| {
            let ahead = match to {
                To::Device(device) => match self.book.board.devices.get(*device).and_then(|d| d.loop_at) {
                    Some(number) => self.lowest(Place::Loop(number.value), &mut Vec::new()),
                    None => self.lowest(Place::Device(*device), &mut Vec::new()),
                },
                To::Buffer(edge) => {
                    self.route.edges.get(*edge).map_or(u16::MAX, |e| self.lowest(e.to, &mut Vec::new()))
                }
                _ => *output,
            };
            (*to == To::Open, ahead)
        };
        let heard = ends.iter().enumerate().filter(|(_, (to, _))| !matches!(to, To::Tuner(_)));
        heard.min_by_key(|(i, end)| (rank(end), *i)).map(|(i, _)| i)
    }

    /// The lowest output that is on and can be reached from a place, whatever the loops do.
    fn lowest(&self, place: Place, seen: &mut Vec<Place>) -> u16 {
        if seen.contains(&place) {
            return u16::MAX;
        }
        seen.push(place);
        if let Place::Output(number) = place {
            return if self.passes(number) == Some(true) { number } else { u16::MAX };
        }
        let ahead = self.route.leaving(place).iter().filter_map(|e| self.route.edges.get(*e));
        ahead.map(|e| self.lowest(e.to, seen)).min().unwrap_or(u16::MAX)
    }

    fn facts(&self, device: usize) -> Option<&'w Electric> {
        self.book.board.devices.get(device).map(|d| &d.electric)
    }

    /// Gathers all that hangs on one node, from a place on.
    fn spread(&self, gathered: &mut Gathered, place: Place, output: u16) {
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
    fn behind(&self, gathered: &mut Gathered, number: usize) {
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
            Place::Device(device) if self.switched(device) == Some(Value::Off) => self.spread(gathered, place, output),
            Place::Device(device) if self.switched(device) == Some(Value::Unknown) => {
                gathered.missing.push(Missing::Engaged(device));
            }
            Place::Device(device) if self.watched(device) => self.load(gathered, device, To::Tuner(device), output),
            Place::Device(device) => self.load(gathered, device, To::Device(device), output),
            Place::Amp(amp) => self.load(gathered, amp, To::Amp(amp), output),
            Place::Return(amp) => self.load(gathered, amp, To::Return(amp), output),
            Place::Output(number) => self.spread(gathered, place, number),
            Place::Send(_) | Place::Guitar(_) => gathered.ends.push((To::Open, output)),
        }
    }

    /// Whether an output lets the signal through; None when that is not known. On a board where no amp says
    /// what feeds it, an output that the cells leave off may still be the one in use.
    fn passes(&self, number: u16) -> Option<bool> {
        match self.outputs.get(usize::from(number).wrapping_sub(1)) {
            Some(Value::On) => Some(true),
            Some(Value::Off) => Some(!self.route.amps_fed),
            _ => None,
        }
    }

    fn switched(&self, device: usize) -> Option<Value> {
        self.switched.iter().find(|(d, _)| *d == device).map(|(_, value)| *value)
    }

    /// A tuner, from which no lead goes on.
    fn watched(&self, device: usize) -> bool {
        self.book.board.devices.get(device).is_some_and(|d| d.watched())
            && self.route.leaving(Place::Device(device)).is_empty()
    }

    fn load(&self, gathered: &mut Gathered, device: usize, to: To, output: u16) {
        let facts = self.facts(device);
        let (ohm, missing) = match to {
            To::Return(_) => (facts.and_then(|f| f.return_in), Missing::Return(device)),
            _ => (facts.and_then(|f| f.input), Missing::Input(device)),
        };
        match ohm {
            Some(ohm) => gathered.loads.push(ohm.value.value()),
            None => gathered.missing.push(missing),
        }
        gathered.ends.push((to, output));
    }

    fn wire(&self, gathered: &mut Gathered, wire: Wire) {
        match wire.stated(&self.book.board, self.guitar) {
            Some(lead) => gathered.farad += lead.farads(),
            None if wire == Wire::Guitar => gathered.missing.push(Missing::Cable(self.guitar)),
            None => gathered.missing.push(Missing::Patch),
        }
    }
}
