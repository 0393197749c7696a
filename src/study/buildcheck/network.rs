//! What is plugged so far, inside and outside the boxes, and where what is plugged next can be heard.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::book::{Board, DeviceKind, Plugged};
use crate::ids::DeviceId;
use crate::study::inside::Inside;
use crate::study::route::{Place, Route};
use crate::study::wiring::{Jack, Lead, Purpose, Wiring};

/// Where to listen after a step.
#[derive(Clone, PartialEq, Debug)]
pub enum Listen {
    /// Nothing is to be heard: power, a contact at the panel.
    Nothing,
    /// What a treadle moves is said by the presets: in one that gives it something to move.
    Preset,
    /// At the switcher: the preset that is called shows there.
    Called,
    /// A test lead, from where the signal comes out to a free jack of an amplifier.
    Test { tap: Jack, amp: Jack },
    /// A test lead to an amplifier that is not of this board: none of it is free, or may be fed so.
    Spare { tap: Jack },
    /// Nothing is heard: a tuner is watched, an index of devices.
    Watch(DeviceId),
    /// At an amplifier that is plugged, an index of devices.
    Amp(DeviceId),
    /// Nothing that is plugged drives it.
    Undriven,
}

/// A jack, or a point inside a box.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Node {
    Jack(Jack),
    /// Inside the switcher, before and behind a loop.
    Before(u16),
    Behind(u16),
    /// What an amplifier gives to the room.
    Sound(DeviceId),
}

const SIDES: [Option<bool>; 3] = [None, Some(false), Some(true)];

/// Leads as edges from jack to jack, boxes as edges from what goes in to what comes out.
pub(super) struct Network<'n> {
    board: &'n Board,
    route: &'n Route,
    wiring: &'n Wiring,
    plugged: Vec<bool>,
    /// Leads by the jack that they start at.
    starts: BTreeMap<&'n Jack, Vec<usize>>,
    inside: Option<Inside>,
}

impl<'n> Network<'n> {
    /// Nothing is plugged.
    pub(super) fn new(board: &'n Board, route: &'n Route, wiring: &'n Wiring) -> Network<'n> {
        let mut starts: BTreeMap<&Jack, Vec<usize>> = BTreeMap::new();
        for (at, lead) in wiring.leads.iter().enumerate() {
            starts.entry(&lead.from).or_default().push(at);
        }
        let inside = Inside::of(board);
        Network { board, route, wiring, plugged: vec![false; wiring.leads.len()], starts, inside }
    }

    pub(super) fn plugged(&self, lead: usize) -> bool {
        self.plugged.get(lead) == Some(&true)
    }

    pub(super) fn plug(&mut self, lead: usize) {
        self.plugged.get_mut(lead).into_iter().for_each(|plugged| *plugged = true);
    }

    /// The loops to engage for a lead that was plugged last, and where to listen: the one it belongs to, and those of the
    /// devices in whose insert or leg it lies.
    pub(super) fn listen(&self, at: usize) -> (Vec<u16>, Listen) {
        let Some(lead) = self.wiring.leads.get(at) else { return (Vec::new(), Listen::Nothing) };
        let own = match lead.purpose {
            Purpose::Send(_) | Purpose::Return(_) => lead.device,
            Purpose::Chain(edge) => return self.chained(lead, edge),
            _ => self.moved(lead),
        };
        let engage = own.map_or(Vec::new(), |device| self.loops(std::iter::once(device).chain(self.hosts(device))));
        let (heard, start) = match lead.purpose {
            Purpose::Chain(_) | Purpose::Send(_) | Purpose::Return(_) => (lead.from.clone(), lead.to.first().cloned()),
            Purpose::Power => return (Vec::new(), Listen::Nothing),
            Purpose::Called => return (Vec::new(), Listen::Called),
            Purpose::Treadle(Plugged::Input(_)) => return (Vec::new(), Listen::Preset),
            _ => match self.moved(lead) {
                Some(device) => {
                    let side = self.board.devices.get(device).is_some_and(|d| d.stereo).then_some(false);
                    (Jack::Input(device, side), Some(Jack::Input(device, side)))
                }
                None => return (Vec::new(), Listen::Nothing),
            },
        };
        self.heard(engage, heard, start)
    }

    /// A lead of a chain.
    fn chained(&self, lead: &Lead, edge: usize) -> (Vec<u16>, Listen) {
        let edge = self.route.edges.get(edge);
        let hosts = edge.map_or(Vec::new(), |edge| {
            let own = |place: Place| match place {
                Place::Send(d) | Place::Return(d) | Place::LegSend(d, _) | Place::LegReturn(d, _) | Place::Key(d) => {
                    vec![d]
                }
                place => self.route.device_at(place).map_or(Vec::new(), |d| self.hosts(d)),
            };
            [edge.from, edge.to].into_iter().flat_map(own).collect()
        });
        let engage = self.loops(hosts.into_iter());
        // What goes into a key input is heard of what the device does to its own signal.
        let start = match lead.to.first() {
            Some(Jack::Key(d)) => Some(Jack::Input(*d, None)),
            to => to.cloned(),
        };
        self.heard(engage, lead.from.clone(), start)
    }

    fn heard(&self, engage: Vec<u16>, heard: Jack, start: Option<Jack>) -> (Vec<u16>, Listen) {
        let guitars = self.wiring.leads.iter().filter(|l| matches!(l.from, Jack::Guitar(_))).map(|l| l.from.clone());
        let driven = self.reach(guitars.collect(), &engage, true).contains(&Node::Jack(heard));
        let Some(start) = start.filter(|_| driven) else { return (engage, Listen::Undriven) };
        let listen = self.tapped(start, &engage);
        (engage, listen)
    }

    /// The devices in whose insert or leg one stands.
    fn hosts(&self, device: DeviceId) -> Vec<DeviceId> {
        self.inside.as_ref().map_or(Vec::new(), |inside| inside.hosts(self.board, device))
    }

    /// The loops that some devices sit in.
    fn loops(&self, devices: impl Iterator<Item = DeviceId>) -> Vec<u16> {
        let mut loops: Vec<u16> = devices.filter_map(|d| self.board.devices.get(d)?.loop_at).map(|l| l.value).collect();
        loops.sort_unstable();
        loops.dedup();
        loops
    }

    /// The device whose control a lead moves; None where it ends at the panel.
    fn moved(&self, lead: &Lead) -> Option<DeviceId> {
        match lead.purpose {
            Purpose::Treadle(Plugged::Port(port)) if lead.to.contains(&Jack::PortIn(port)) => {
                self.wiring.leads.iter().find(|l| l.purpose == Purpose::Expression(port)).and_then(|l| l.device)
            }
            _ => lead.to.iter().find_map(|jack| match jack {
                Jack::RemoteIn(d, ..) | Jack::ExpressionIn(d) | Jack::MidiIn(d) => Some(*d),
                _ => None,
            }),
        }
    }

    /// Where the signal that enters a jack is heard: at an amplifier if it gets there, else where it comes out of what is
    /// plugged, which is the switcher's out while loops are passed.
    fn tapped(&self, start: Jack, engage: &[u16]) -> Listen {
        let reached = self.reach(vec![start], engage, true);
        if let Some(amp) = reached.iter().find_map(|n| if let Node::Sound(amp) = n { Some(*amp) } else { None }) {
            return Listen::Amp(amp);
        }
        if let Some(tuner) = reached.iter().find_map(|n| self.tuner(n)) {
            return Listen::Watch(tuner);
        }
        let taken = |jack: &Jack| self.at(|l| l.from == *jack);
        let jacks = reached.into_iter().filter_map(|n| if let Node::Jack(jack) = n { Some(jack) } else { None });
        let taps: Vec<Jack> = jacks.filter(|jack| self.comes_out(jack) && !taken(jack)).collect();
        let heard = taps.iter().find_map(|tap| Some(Listen::Test { tap: tap.clone(), amp: self.amp(tap, engage)? }));
        heard.or_else(|| taps.first().map(|tap| Listen::Spare { tap: tap.clone() })).unwrap_or(Listen::Undriven)
    }

    /// The tuner whose input a node is.
    fn tuner(&self, node: &Node) -> Option<DeviceId> {
        match node {
            Node::Jack(Jack::Input(d, _)) => self.board.devices.get(*d).filter(|d| d.watched()).map(|_| *d),
            _ => None,
        }
    }

    /// A plugged lead is as asked.
    fn at(&self, asked: impl Fn(&Lead) -> bool) -> bool {
        self.wiring.leads.iter().enumerate().any(|(at, lead)| self.plugged(at) && asked(lead))
    }

    /// A signal can be taken from a jack.
    fn comes_out(&self, jack: &Jack) -> bool {
        match jack {
            Jack::PanelIn(_)
            | Jack::PanelOut(_)
            | Jack::SwitcherOut(_)
            | Jack::Output(..)
            | Jack::Send(_)
            | Jack::LegSend(..) => true,
            // Between two loops there is a jack only where a chain leaves the switcher.
            Jack::LoopsOut(number, _) => {
                self.starts.contains_key(jack)
                    || jack == &Jack::LoopsOut(*number, None) && self.inside(*number).next().is_none()
            }
            _ => false,
        }
    }

    /// The free jack of an amplifier for a test lead: where the chains lead from there, else the first input that does not
    /// feed the very signal, for an amplifier that hears its own send howls; what it sends belongs into its return.
    fn amp(&self, tap: &Jack, engage: &[u16]) -> Option<Jack> {
        let free = |jack: &Jack| !self.at(|l| l.to.contains(jack));
        let amp = |d: &DeviceId| self.board.devices.get(*d).is_some_and(|d| d.kind == DeviceKind::Amp);
        let own = |jack: &Jack| match jack {
            Jack::Input(d, _) => amp(d),
            Jack::Return(d, _) => amp(d),
            _ => false,
        };
        let down = self.reach(vec![tap.clone()], engage, false);
        let meant = down.into_iter().filter_map(|n| if let Node::Jack(jack) = n { Some(jack) } else { None });
        let amps: Vec<DeviceId> = self.board.devices.ids().filter(amp).collect();
        let sends = |d: &DeviceId| self.reach(vec![Jack::Send(*d)], engage, false).contains(&Node::Jack(tap.clone()));
        let (before, beside): (Vec<DeviceId>, Vec<DeviceId>) = amps.into_iter().partition(|d| sends(d));
        let has_return = |d: &DeviceId| self.board.devices.get(*d).is_some_and(|d| d.electric.return_in.is_some());
        let returns = before.iter().copied().filter(has_return).map(|d| Jack::Return(d, None));
        let returns: Vec<Jack> = returns.filter(|_| !self.returned(&before)).collect();
        let inputs = beside.into_iter().map(|d| Jack::Input(d, None));
        let inputs: Vec<Jack> = if before.is_empty() { inputs.collect() } else { Vec::new() };
        meant.filter(own).chain(returns).chain(inputs).find(free)
    }

    /// Something is plugged into the return of one of these amplifiers.
    fn returned(&self, amps: &[DeviceId]) -> bool {
        self.at(|l| l.to.iter().any(|jack| matches!(jack, Jack::Return(d, _) if amps.contains(d))))
    }

    /// What the chains join behind a loop inside the switcher.
    fn inside(&self, number: u16) -> impl Iterator<Item = Place> {
        let edges = self.route.leaving(Place::Loop(number)).iter().filter_map(|e| self.route.edges.get(*e));
        edges.filter(|e| e.wires.is_empty()).map(|e| e.to)
    }

    /// All that a signal reaches from these jacks, the nearest first, with one loop engaged; over the leads that are
    /// `plugged`, or over all of them and up to the first amplifiers.
    fn reach(&self, from: Vec<Jack>, engage: &[u16], plugged: bool) -> Vec<Node> {
        let mut open: VecDeque<Node> = from.into_iter().map(Node::Jack).collect();
        let (mut known, mut seen) = (BTreeSet::new(), Vec::new());
        while let Some(node) = open.pop_front() {
            if !known.insert(node.clone()) {
                continue;
            }
            open.extend(self.through(&node, engage, plugged));
            if let Node::Jack(jack) = &node {
                let leads = self.starts.get(jack).into_iter().flatten().filter(|at| !plugged || self.plugged(**at));
                let leads = leads.filter_map(|at| self.wiring.leads.get(*at));
                open.extend(leads.flat_map(|l| &l.to).cloned().map(Node::Jack));
            }
            seen.push(node);
        }
        seen
    }

    /// What comes out of a box where a signal goes in.
    fn through(&self, node: &Node, engage: &[u16], plugged: bool) -> Vec<Node> {
        let sides = |of: &dyn Fn(Option<bool>) -> Jack| SIDES.iter().map(|s| Node::Jack(of(*s))).collect();
        match node {
            Node::Jack(Jack::LoopsIn(number, _)) => vec![Node::Before(*number)],
            Node::Jack(Jack::GuitarIn(_)) => {
                let fed = self.route.edges.iter().filter(|e| matches!(e.from, Place::Guitar(_)));
                fed.filter_map(|e| if let Place::Loop(n) = e.to { Some(Node::Before(n)) } else { None }).collect()
            }
            Node::Jack(Jack::LoopReturn(number, _)) if engage.contains(number) => vec![Node::Behind(*number)],
            Node::Jack(Jack::Input(d, side)) => match self.board.devices.get(*d).map(|d| d.kind) {
                Some(DeviceKind::Amp) if plugged => vec![Node::Sound(*d), Node::Jack(Jack::Send(*d))],
                Some(DeviceKind::Amp) => Vec::new(),
                _ if plugged && !self.powered(*d) || self.tuner(node).is_some() => Vec::new(),
                _ => self.out_of(*d, *side, plugged),
            },
            Node::Jack(Jack::Return(d, _) | Jack::LegReturn(d, _)) if !self.amp_at(*d) => {
                if plugged && !self.powered(*d) { Vec::new() } else { self.outputs(*d) }
            }
            Node::Jack(Jack::Return(d, _)) if plugged => vec![Node::Sound(*d)],
            Node::Before(number) if engage.contains(number) => sides(&|side| Jack::LoopSend(*number, side)),
            Node::Before(number) => vec![Node::Behind(*number)],
            Node::Behind(number) => {
                let mut out: Vec<Node> = sides(&|side| Jack::LoopsOut(*number, side));
                out.extend(self.inside(*number).filter_map(|place| match place {
                    Place::Loop(next) => Some(Node::Before(next)),
                    Place::Output(output) => Some(Node::Jack(Jack::SwitcherOut(output))),
                    _ => None,
                }));
                out
            }
            _ => Vec::new(),
        }
    }

    fn amp_at(&self, device: DeviceId) -> bool {
        self.board.devices.get(device).is_some_and(|d| d.kind == DeviceKind::Amp)
    }

    fn outputs(&self, device: DeviceId) -> Vec<Node> {
        let stereo = self.board.devices.get(device).is_some_and(|d| d.stereo);
        let sides: &[Option<bool>] = if stereo { &[Some(false), Some(true)] } else { &[None] };
        sides.iter().map(|side| Node::Jack(Jack::Output(device, *side))).collect()
    }

    /// What comes out of a device that is no amplifier: what is plugged into its return, or into all of its legs, stands in
    /// the place of what comes in.
    fn out_of(&self, device: DeviceId, side: Option<bool>, plugged: bool) -> Vec<Node> {
        let led = |jack: &Jack| match plugged {
            true => self.at(|l| l.from == *jack || l.to.contains(jack)),
            false => self.wiring.leads.iter().any(|l| l.from == *jack || l.to.contains(jack)),
        };
        let legs = self.board.devices.get(device).map_or(0, |d| d.electric.legs.len() as u16);
        let all = legs > 0 && (0..legs).all(|leg| led(&Jack::LegReturn(device, leg)));
        let own = SIDES.iter().any(|side| led(&Jack::Return(device, *side)));
        let out = (!all && !own).then_some(Jack::Output(device, side));
        let sends = std::iter::once(Jack::Send(device)).chain((0..legs).map(|leg| Jack::LegSend(device, leg)));
        out.into_iter().chain(sends.filter(led)).map(Node::Jack).collect()
    }

    pub(super) fn device_at(&self, place: Place) -> Option<DeviceId> {
        self.route.device_at(place)
    }

    pub(super) fn goes_into(&self, place: Place) -> Option<DeviceId> {
        self.route.goes_into(self.board, place)
    }

    pub(super) fn place_of(&self, device: DeviceId) -> Place {
        self.route.place_of(self.board, device)
    }

    /// No power lead of a device is still to be plugged.
    fn powered(&self, device: DeviceId) -> bool {
        let own = |l: &Lead| l.purpose == Purpose::Power && l.device == Some(device);
        self.wiring.leads.iter().enumerate().all(|(at, l)| !own(l) || self.plugged(at))
    }
}
