//! What is plugged so far, inside and outside the boxes, and where what is plugged next can be heard.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use crate::book::{Board, DeviceKind, Plugged};
use crate::study::route::{Place, Route};
use crate::study::wiring::{Jack, Lead, Purpose, Wiring};

/// Where to listen after a step.
#[derive(Clone, PartialEq, Debug)]
pub enum Listen {
    /// Nothing is to be heard: power, a contact at the panel.
    Nothing,
    /// What a treadle moves is said by the presets: in one that gives it something to move.
    Preset,
    /// A test lead, from where the signal comes out to a free jack of an amplifier.
    Test { tap: Jack, amp: Jack },
    /// A test lead to an amplifier that is not of this board: none of it is free, or may be fed so.
    Spare { tap: Jack },
    /// Nothing is heard: a tuner is watched, an index of devices.
    Watch(usize),
    /// At an amplifier that is plugged, an index of devices.
    Amp(usize),
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
    Sound(usize),
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
}

impl<'n> Network<'n> {
    /// Nothing is plugged.
    pub(super) fn new(board: &'n Board, route: &'n Route, wiring: &'n Wiring) -> Network<'n> {
        let mut starts: BTreeMap<&Jack, Vec<usize>> = BTreeMap::new();
        for (at, lead) in wiring.leads.iter().enumerate() {
            starts.entry(&lead.from).or_default().push(at);
        }
        Network { board, route, wiring, plugged: vec![false; wiring.leads.len()], starts }
    }

    pub(super) fn plugged(&self, lead: usize) -> bool {
        self.plugged.get(lead) == Some(&true)
    }

    pub(super) fn plug(&mut self, lead: usize) {
        self.plugged.get_mut(lead).into_iter().for_each(|plugged| *plugged = true);
    }

    /// The loop to engage for a lead that was plugged last, and where to listen.
    pub(super) fn listen(&self, at: usize) -> (Option<u16>, Listen) {
        let Some(lead) = self.wiring.leads.get(at) else { return (None, Listen::Nothing) };
        let engage = match lead.purpose {
            Purpose::Send(number) | Purpose::Return(number) => Some(number),
            _ => self.moved(lead).and_then(|d| self.board.devices.get(d)).and_then(|d| d.loop_at).map(|l| l.value),
        };
        let (heard, start) = match lead.purpose {
            Purpose::Chain(_) | Purpose::Send(_) | Purpose::Return(_) => (lead.from.clone(), lead.to.first().cloned()),
            Purpose::Power => return (None, Listen::Nothing),
            Purpose::Treadle(Plugged::Input(_)) => return (None, Listen::Preset),
            _ => match self.moved(lead) {
                Some(device) => {
                    let side = self.board.devices.get(device).is_some_and(|d| d.stereo).then_some(false);
                    (Jack::Input(device, side), Some(Jack::Input(device, side)))
                }
                None => return (None, Listen::Nothing),
            },
        };
        let guitars = self.wiring.leads.iter().filter(|l| matches!(l.from, Jack::Guitar(_))).map(|l| l.from.clone());
        let driven = self.reach(guitars.collect(), engage, true).contains(&Node::Jack(heard));
        let Some(start) = start.filter(|_| driven) else { return (engage, Listen::Undriven) };
        (engage, self.tapped(start, engage))
    }

    /// The device whose control a lead moves; None where it ends at the panel.
    fn moved(&self, lead: &Lead) -> Option<usize> {
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
    fn tapped(&self, start: Jack, engage: Option<u16>) -> Listen {
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
    fn tuner(&self, node: &Node) -> Option<usize> {
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
            Jack::PanelIn(_) | Jack::PanelOut(_) | Jack::SwitcherOut(_) | Jack::Output(..) | Jack::AmpSend(_) => true,
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
    fn amp(&self, tap: &Jack, engage: Option<u16>) -> Option<Jack> {
        let free = |jack: &Jack| !self.at(|l| l.to.contains(jack));
        let amp = |d: &usize| self.board.devices.get(*d).is_some_and(|d| d.kind == DeviceKind::Amp);
        let own = |jack: &Jack| match jack {
            Jack::Input(d, _) => amp(d),
            Jack::AmpReturn(..) => true,
            _ => false,
        };
        let down = self.reach(vec![tap.clone()], engage, false);
        let meant = down.into_iter().filter_map(|n| if let Node::Jack(jack) = n { Some(jack) } else { None });
        let amps: Vec<usize> = (0..self.board.devices.len()).filter(amp).collect();
        let sends = |d: &usize| self.reach(vec![Jack::AmpSend(*d)], engage, false).contains(&Node::Jack(tap.clone()));
        let (before, beside): (Vec<usize>, Vec<usize>) = amps.into_iter().partition(|d| sends(d));
        let has_return = |d: &usize| self.board.devices.get(*d).is_some_and(|d| d.electric.return_in.is_some());
        let returns = before.iter().copied().filter(has_return).map(|d| Jack::AmpReturn(d, None));
        let returns: Vec<Jack> = returns.filter(|_| !self.returned(&before)).collect();
        let inputs = beside.into_iter().map(|d| Jack::Input(d, None));
        let inputs: Vec<Jack> = if before.is_empty() { inputs.collect() } else { Vec::new() };
        meant.filter(own).chain(returns).chain(inputs).find(free)
    }

    /// Something is plugged into the return of one of these amplifiers.
    fn returned(&self, amps: &[usize]) -> bool {
        self.at(|l| l.to.iter().any(|jack| matches!(jack, Jack::AmpReturn(d, _) if amps.contains(d))))
    }

    /// What the chains join behind a loop inside the switcher.
    fn inside(&self, number: u16) -> impl Iterator<Item = Place> {
        let edges = self.route.leaving(Place::Loop(number)).iter().filter_map(|e| self.route.edges.get(*e));
        edges.filter(|e| e.wires.is_empty()).map(|e| e.to)
    }

    /// All that a signal reaches from these jacks, the nearest first, with one loop engaged; over the leads that are
    /// `plugged`, or over all of them and up to the first amplifiers.
    fn reach(&self, from: Vec<Jack>, engage: Option<u16>, plugged: bool) -> Vec<Node> {
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
    fn through(&self, node: &Node, engage: Option<u16>, plugged: bool) -> Vec<Node> {
        let jack = |jack: Jack| vec![Node::Jack(jack)];
        let sides = |of: &dyn Fn(Option<bool>) -> Jack| SIDES.iter().map(|s| Node::Jack(of(*s))).collect();
        match node {
            Node::Jack(Jack::LoopsIn(number, _)) => vec![Node::Before(*number)],
            Node::Jack(Jack::GuitarIn(_)) => {
                let fed = self.route.edges.iter().filter(|e| matches!(e.from, Place::Guitar(_)));
                fed.filter_map(|e| if let Place::Loop(n) = e.to { Some(Node::Before(n)) } else { None }).collect()
            }
            Node::Jack(Jack::LoopReturn(number, _)) if engage == Some(*number) => vec![Node::Behind(*number)],
            Node::Jack(Jack::Input(d, side)) => match self.board.devices.get(*d).map(|d| d.kind) {
                Some(DeviceKind::Amp) if plugged => vec![Node::Sound(*d), Node::Jack(Jack::AmpSend(*d))],
                Some(DeviceKind::Amp) => Vec::new(),
                _ if plugged && !self.powered(*d) || self.tuner(node).is_some() => Vec::new(),
                _ => jack(Jack::Output(*d, *side)),
            },
            Node::Jack(Jack::AmpReturn(d, _)) if plugged => vec![Node::Sound(*d)],
            Node::Before(number) if engage == Some(*number) => sides(&|side| Jack::LoopSend(*number, side)),
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

    /// No power lead of a device is still to be plugged.
    fn powered(&self, device: usize) -> bool {
        let own = |l: &Lead| l.purpose == Purpose::Power && l.device == Some(device);
        self.wiring.leads.iter().enumerate().all(|(at, l)| !own(l) || self.plugged(at))
    }
}
