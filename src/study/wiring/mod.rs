//! Every lead of the board, from jack to jack, with its kind and its number: the one list that all outputs go by.

mod jacks;
mod numbers;

pub use jacks::{Jack, end, named, off_board};

use std::collections::BTreeMap;

use super::route::{Place, Route, Wire};
use crate::book::electric::{Polarity, Taker};
use crate::book::{Board, How, Plugged};
use crate::ids::DeviceId;

/// What a lead is made of.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum LeadKind {
    /// Mono: tip and sleeve.
    Ts,
    /// Tip, ring and sleeve.
    Trs,
    /// MIDI.
    Midi,
    /// Power.
    Dc,
    /// Power, with the plug the other way round.
    DcReversing,
}

impl LeadKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            LeadKind::Ts => "TS",
            LeadKind::Trs => "TRS",
            LeadKind::Midi => "MIDI",
            LeadKind::Dc => "DC",
            LeadKind::DcReversing => "DC reversing",
        }
    }
}

/// What a lead is for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Purpose {
    /// Audio along a chain, the number of its edge in the route.
    Chain(usize),
    /// From a loop's send to its pedal, and back.
    Send(u16),
    Return(u16),
    /// From a remote jack of the switcher.
    Remote(u16),
    /// From an expression port to a pedal, and from a treadle to the port.
    Expression(u16),
    Treadle(Plugged),
    /// From one MIDI jack to the next.
    Midi,
    /// From the computer that calls the presets.
    Called,
    /// From an outlet.
    Power,
}

/// One lead.
#[derive(Clone, PartialEq, Debug)]
pub struct Lead {
    /// Its number, from 1 (see `numbers`): what it goes by in every list.
    pub number: usize,
    /// What it is made of.
    pub kind: LeadKind,
    /// Where it starts.
    pub from: Jack,
    /// Where it ends; several jacks when it splits.
    pub to: Vec<Jack>,
    /// What it is for.
    pub purpose: Purpose,
    /// Its length in metre, if stated.
    pub length: Option<f64>,
    /// Of power: which way round the outlet's plug is, if stated.
    pub polarity: Option<Polarity>,
    /// The device it belongs to, an index of `Board::devices`.
    pub device: Option<DeviceId>,
}

/// All leads, and what is odd about the jacks.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Wiring {
    /// The leads by number: audio along the chains, then what belongs to the switcher, to each loop, to each device in none.
    pub leads: Vec<Lead>,
    /// Jacks that hold nothing.
    pub unused: Vec<Jack>,
    /// Jacks that two leads want, each with how many.
    pub doubly: Vec<(Jack, usize)>,
    /// Leads at an amp for which no chain states a cable, so that they count as patch leads; numbers of `leads`.
    pub assumed: Vec<usize>,
}

/// Lists the leads of a book.
pub fn wiring(board: &Board) -> Wiring {
    let route = Route::of(board);
    let mut work = Work { board, route: &route, leads: Vec::new(), assumed: Vec::new() };
    for number in 0..route.edges.len() {
        work.edge(number);
    }
    work.power(Taker::Switcher);
    for device in board.devices.ids() {
        work.in_loop(device);
        work.controls(device);
        work.power(Taker::Device(device));
    }
    work.treadles();
    work.midi();
    let Work { mut leads, assumed, .. } = work;
    // The chains' leads stay first.
    numbers::number(board, &mut leads);
    let (unused, doubly) = jacks::odd(board, &leads);
    Wiring { leads, unused, doubly, assumed }
}

struct Work<'w> {
    board: &'w Board,
    route: &'w Route,
    leads: Vec<Lead>,
    assumed: Vec<usize>,
}

impl Work<'_> {
    fn push(&mut self, kind: LeadKind, from: Jack, to: Vec<Jack>, purpose: Purpose, device: Option<DeviceId>) {
        let leads = &self.board.leads;
        // Between the panel and the board a short one does.
        let ends = || std::iter::once(&from).chain(&to);
        let panel = ends().any(|jack| matches!(jack, Jack::PanelOut(_) | Jack::PanelIn(_)));
        let inner = panel && !ends().any(|jack| off_board(self.board, jack));
        let length = match purpose {
            _ if inner => leads.patch.map(|lead| lead.length),
            Purpose::Remote(_) => leads.remote,
            Purpose::Expression(_) | Purpose::Treadle(_) => leads.expression,
            Purpose::Midi => leads.midi,
            Purpose::Power => leads.power,
            // How far off the computer stands nobody says.
            Purpose::Chain(_) | Purpose::Send(_) | Purpose::Return(_) | Purpose::Called => None,
        };
        let length = length.map(|l| l.value());
        self.leads.push(Lead { number: 0, kind, from, to, purpose, length, polarity: None, device });
    }

    /// A lead from each stop to the next, by way of the panel where it is brought out there.
    fn stretches(&mut self, kind: LeadKind, stops: [Option<Jack>; 3], purpose: Purpose, device: Option<DeviceId>) {
        let stops: Vec<Jack> = stops.into_iter().flatten().collect();
        for (from, to) in stops.iter().zip(stops.iter().skip(1)) {
            self.push(kind, from.clone(), vec![to.clone()], purpose, device);
        }
    }

    /// The leads of one edge: as many as it has wires, with the panel's jacks between them; twice for two sides.
    fn edge(&mut self, number: usize) {
        let Some(edge) = self.route.edges.get(number) else { return };
        match edge.from {
            // Each guitar has an input of its own, where the switcher has several.
            Place::Guitar(named) => {
                let guitars = self.board.guitars.iter().enumerate();
                let plugged = guitars.filter(|(at, g)| g.input.is_some() && named.is_none_or(|n| n == *at));
                let each: Vec<Option<usize>> = plugged.map(|(at, _)| Some(at)).collect();
                for guitar in if each.is_empty() { vec![named] } else { each } {
                    self.stretch(number, Place::Guitar(guitar));
                }
            }
            from => self.stretch(number, from),
        }
    }

    fn stretch(&mut self, number: usize, from: Place) {
        let Some(edge) = self.route.edges.get(number) else { return };
        let guitar = if let Place::Guitar(Some(guitar)) = from { guitar } else { 0 };
        let device = match edge.to {
            Place::Device(d) | Place::Amp(d) | Place::Return(d) | Place::LegReturn(d, _) | Place::Key(d) => Some(d),
            _ => None,
        };
        for side in self.sides(from, edge.to).iter().copied() {
            let mut stops = vec![jacks::out_of(from, side)];
            stops.extend(jacks::panel(self.board, from, side, false));
            stops.extend(jacks::panel(self.board, edge.to, side, true));
            stops.push(jacks::guitar_in(self.board, from, edge.to).unwrap_or_else(|| jacks::into(edge.to, side)));
            let mut wires = along(&edge.wires, stops.len() - 1);
            // The short lead lies on the board's side of the panel.
            if stops.iter().any(|s| matches!(s, Jack::PanelOut(_))) && !wires.is_empty() {
                wires.rotate_left(1);
            }
            for ((from, to), wire) in stops.iter().zip(stops.iter().skip(1)).zip(wires) {
                // Inside the switcher there is no lead.
                let Some(wire) = wire else { continue };
                let length = wire.stated(self.board, guitar).map(|lead| lead.length.value());
                if wire.assumed(self.board) {
                    self.assumed.push(self.leads.len());
                }
                self.push(LeadKind::Ts, from.clone(), vec![to.clone()], Purpose::Chain(number), device);
                self.leads.iter_mut().next_back().into_iter().for_each(|lead| lead.length = length);
            }
        }
    }

    /// Left and right where both ends have two sides, else one lead.
    fn sides(&self, from: Place, to: Place) -> &'static [Option<bool>] {
        let wide = |place: Place| match place {
            Place::Loop(n) => self.board.in_loop(n).is_some_and(|d| d.stereo),
            Place::Return(amp) => self.route.wide.contains(&amp),
            _ => false,
        };
        if wide(to) && (wide(from) || matches!(to, Place::Return(_))) { &[Some(false), Some(true)] } else { &[None] }
    }

    fn in_loop(&mut self, index: DeviceId) {
        let Some(device) = self.board.devices.get(index) else { return };
        let Some(number) = device.loop_at.map(|l| l.value) else { return };
        let sides: &[Option<bool>] = if device.stereo { &[Some(false), Some(true)] } else { &[None] };
        let length = Wire::At(index).stated(self.board, 0).map(|lead| lead.length.value());
        for side in sides {
            let (send, input) = (Jack::LoopSend(number, *side), Jack::Input(index, *side));
            self.push(LeadKind::Ts, send, vec![input], Purpose::Send(number), Some(index));
            let (output, back) = (Jack::Output(index, *side), Jack::LoopReturn(number, *side));
            self.push(LeadKind::Ts, output, vec![back], Purpose::Return(number), Some(index));
        }
        let from = self.leads.len() - 2 * sides.len();
        self.leads.iter_mut().skip(from).for_each(|l| l.length = length);
    }

    fn controls(&mut self, index: DeviceId) {
        let Some(device) = self.board.devices.get(index) else { return };
        let mut remotes: BTreeMap<u16, (bool, bool)> = BTreeMap::new();
        let mut ports: Vec<u16> = Vec::new();
        for control in &device.controls {
            match &control.how {
                How::Remote { contacts, .. } => contacts.iter().for_each(|c| {
                    let (tip, ring) = remotes.entry(c.jack).or_default();
                    (*tip, *ring) = (*tip || !c.ring, *ring || c.ring);
                }),
                How::Pulses { contact, .. } => {
                    let (tip, ring) = remotes.entry(contact.jack).or_default();
                    (*tip, *ring) = (*tip || !contact.ring, *ring || contact.ring);
                }
                How::Port { port, .. } => ports.push(*port),
                _ => {}
            }
        }
        for (jack, (tip, ring)) in remotes {
            self.remote(index, jack, tip, ring);
        }
        for port in ports {
            let stops =
                [Some(Jack::PortOut(port)), jacks::port_panel(self.board, port, true), Some(Jack::ExpressionIn(index))];
            self.stretches(LeadKind::Trs, stops, Purpose::Expression(port), Some(index));
        }
    }

    /// A remote lead, by way of the panel if it is brought out there. A second device on the jack splits the lead.
    fn remote(&mut self, index: DeviceId, jack: u16, tip: bool, ring: bool) {
        let end = Jack::RemoteIn(index, tip, ring);
        let panel = jacks::remote_panel(self.board, jack);
        let last = panel.clone().unwrap_or(Jack::Remote(jack));
        if let Some(lead) = self.leads.iter_mut().find(|l| l.from == last && l.purpose == Purpose::Remote(jack)) {
            lead.to.push(end);
            lead.kind = LeadKind::Trs;
            return;
        }
        // A mono plug would join the ring to the sleeve.
        let kind = if ring { LeadKind::Trs } else { LeadKind::Ts };
        if let Some(panel) = panel {
            self.push(kind, Jack::Remote(jack), vec![panel], Purpose::Remote(jack), Some(index));
        }
        self.push(kind, last, vec![end], Purpose::Remote(jack), Some(index));
    }

    fn power(&mut self, taker: Taker) {
        let power = self.board.power(taker);
        if let Some((supply, outlet)) = power.and_then(|p| p.supply.zip(p.outlet)) {
            let to = vec![Jack::Power(taker)];
            let device = if let Taker::Device(index) = taker { Some(index) } else { None };
            let reversed = power.is_some_and(|p| p.reversed);
            let kind = if reversed { LeadKind::DcReversing } else { LeadKind::Dc };
            self.push(kind, Jack::Outlet(supply, outlet), to, Purpose::Power, device);
            let stated = self.board.supplies.get(supply).and_then(|s| s.outlets.get(outlet));
            self.leads.iter_mut().next_back().into_iter().for_each(|l| l.polarity = stated.and_then(|o| o.polarity));
        }
    }

    fn treadles(&mut self) {
        for (index, treadle) in self.board.treadles.iter().enumerate() {
            let stops = match treadle.plugged {
                Plugged::Port(port) => {
                    [Some(Jack::Treadle(index)), jacks::port_panel(self.board, port, false), Some(Jack::PortIn(port))]
                }
                Plugged::Input(input) => [Some(Jack::Treadle(index)), Some(Jack::FootIn(input)), None],
            };
            self.stretches(LeadKind::Trs, stops, Purpose::Treadle(treadle.plugged), None);
        }
    }

    /// One MIDI line through all devices that hear it: by channel, then those that follow the clock alone; out, then thru
    /// after thru.
    fn midi(&mut self) {
        let all = self.board.devices.pairs();
        let mut heard: Vec<(u16, DeviceId)> =
            all.filter_map(|(i, d)| Some((d.channel().or(d.clock.then_some(u16::MAX))?, i))).collect();
        heard.sort_unstable();
        let mut from = Jack::MidiOut;
        for (_, index) in heard {
            self.push(LeadKind::Midi, from, vec![Jack::MidiIn(index)], Purpose::Midi, Some(index));
            from = Jack::MidiThru(index);
        }
        if self.board.switcher.as_ref().is_some_and(|s| s.answers.is_some()) {
            self.push(LeadKind::Midi, Jack::Computer, vec![Jack::CalledIn], Purpose::Called, None);
        }
    }
}

/// One wire for each stretch between two stops. An edge inside the switcher has stops, but no wire.
fn along(wires: &[Wire], stretches: usize) -> Vec<Option<Wire>> {
    let mut out: Vec<Option<Wire>> = wires.iter().copied().map(Some).collect();
    out.resize(stretches, None);
    out
}
