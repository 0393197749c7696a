//! In which order to plug, so that each test has one new thing to blame: the order of the chains, one lead a step, and at
//! each step where the guitar is heard.

mod network;

pub use network::Listen;

use crate::book::{Board, Plugged};
use crate::ids::{DeviceId, Numbered};
use crate::study::route::{Place, Route};
use crate::study::wiring::{Jack, Lead, Purpose, Wiring};
use network::Network;

/// One step: a lead, and where to listen once it is plugged.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// The lead to plug, an index of `Wiring::leads`.
    pub lead: usize,
    /// The loops to engage; all others are bypassed.
    pub engage: Vec<u16>,
    /// Jacks that the lead wants and the test lead still holds.
    pub frees: Vec<Jack>,
    /// Where to listen.
    pub listen: Listen,
}

/// The steps. Every lead has exactly one, and what drives a lead was tested before it, where the chains say what does.
pub fn steps(board: &Board, route: &Route, wiring: &Wiring) -> Vec<Step> {
    let mut work = Work {
        wiring,
        network: Network::new(board, route, wiring),
        order: Vec::new(),
        reached: Vec::new(),
        ready: vec![false; board.devices.len()].into(),
        test: Vec::new(),
    };
    // Every lead but the bare guitar's leads to the switcher.
    work.take(|at| powers(wiring, at, None));
    let mut edges: Vec<usize> = (0..route.edges.len()).collect();
    while !edges.is_empty() {
        // A chain that nothing drives comes when no other is left.
        let live = |number: &usize| route.edges.get(*number).is_some_and(|edge| work.live(edge.from));
        let number = edges.remove(edges.iter().position(live).unwrap_or(0));
        let Some(edge) = route.edges.get(number) else { continue };
        work.place(board, edge.from);
        if let Place::Device(device) | Place::Return(device) | Place::LegReturn(device, _) | Place::Key(device) =
            edge.to
        {
            work.take(|at| powers(wiring, at, Some(device)));
        }
        // The loops of a helper are engaged by what calls it: that, and its power, come before the signal.
        for loops in [edge.from, edge.to] {
            if let Place::Loop(number) = loops
                && let Some((helper, ..)) = board.helper_of(number)
            {
                work.device(helper);
            }
        }
        work.take(|at| purpose(wiring, at) == Some(Purpose::Chain(number)));
        work.place(board, edge.to);
    }
    // What no chain reaches still wants its leads.
    for device in board.devices.ids() {
        work.device(device);
    }
    work.take(|_| true);
    work.order
}

struct Work<'w> {
    wiring: &'w Wiring,
    network: Network<'w>,
    order: Vec<Step>,
    /// Places that a signal reached.
    reached: Vec<Place>,
    /// Devices that have their power and their loop.
    ready: Numbered<DeviceId, bool>,
    /// The jacks that the test lead holds.
    test: Vec<Jack>,
}

fn purpose(wiring: &Wiring, at: usize) -> Option<Purpose> {
    wiring.leads.get(at).map(|lead| lead.purpose)
}

fn powers(wiring: &Wiring, at: usize, device: Option<DeviceId>) -> bool {
    wiring.leads.get(at).is_some_and(|lead| lead.purpose == Purpose::Power && lead.device == device)
}

impl Work<'_> {
    /// Plugs the leads that are wanted and not plugged yet, by their numbers.
    fn take(&mut self, wanted: impl Fn(usize) -> bool) {
        for (at, lead) in self.wiring.leads.iter().enumerate() {
            if self.network.plugged(at) || !wanted(at) {
                continue;
            }
            let holds = |jack: &Jack| *jack == lead.from || lead.to.contains(jack);
            let (frees, kept): (Vec<Jack>, Vec<Jack>) = std::mem::take(&mut self.test).into_iter().partition(holds);
            self.test = kept;
            self.network.plug(at);
            let (engage, listen) = self.network.listen(at);
            match &listen {
                Listen::Test { tap, amp } => self.test = vec![tap.clone(), amp.clone()],
                Listen::Spare { tap } => self.test = vec![tap.clone()],
                Listen::Amp(_) => self.test.clear(),
                Listen::Nothing | Listen::Preset | Listen::Called | Listen::Undriven | Listen::Watch(_) => {}
            }
            self.order.push(Step { lead: at, engage, frees, listen });
        }
    }

    /// Something drives a place.
    fn live(&self, place: Place) -> bool {
        match place {
            Place::Guitar(_) => true,
            Place::Send(device) | Place::LegSend(device, _) => {
                self.reached.iter().any(|p| *p == Place::Amp(device) || self.network.device_at(*p) == Some(device))
            }
            place => self.reached.contains(&place),
        }
    }

    /// All that hangs on a place, once a signal reaches it.
    fn place(&mut self, board: &Board, place: Place) {
        if self.reached.contains(&place) {
            return;
        }
        self.reached.push(place);
        if let Some(device) = self.network.goes_into(place) {
            return self.place(board, self.network.place_of(device));
        }
        match place {
            Place::Loop(number) => {
                let device = board.loop_holds(number);
                device.into_iter().for_each(|device| self.device(device));
            }
            Place::Device(device) | Place::Amp(device) => self.device(device),
            _ => {}
        }
    }

    /// A device's power, then its loop, then what moves its controls.
    fn device(&mut self, index: DeviceId) {
        let wiring = self.wiring;
        let of = |at: usize| wiring.leads.get(at).is_some_and(|lead| lead.device == Some(index));
        self.take(|at| powers(wiring, at, Some(index)));
        self.take(|at| of(at) && matches!(purpose(wiring, at), Some(Purpose::Send(_))));
        self.take(|at| of(at) && matches!(purpose(wiring, at), Some(Purpose::Return(_))));
        self.ready.get_mut(index).into_iter().for_each(|ready| *ready = true);
        self.controls();
    }

    /// The leads that move controls, of devices that are ready: one that splits waits for all of them, a treadle for its
    /// port, and a MIDI lead for the one before it.
    fn controls(&mut self) {
        loop {
            let may: Vec<bool> = self.wiring.leads.iter().map(|lead| self.may(lead)).collect();
            let before = self.order.len();
            self.take(|at| may.get(at) == Some(&true));
            if self.order.len() == before {
                return;
            }
        }
    }

    fn may(&self, lead: &Lead) -> bool {
        let purpose = lead.purpose;
        let ready = |device: Option<DeviceId>| device.and_then(|d| self.ready.get(d)) == Some(&true);
        let mut all = self.wiring.leads.iter().enumerate();
        match purpose {
            Purpose::Remote(_) => {
                all.filter(|(_, l)| l.purpose == purpose).flat_map(|(_, l)| &l.to).all(|to| match to {
                    Jack::RemoteIn(device, ..) => ready(Some(*device)),
                    _ => true,
                })
            }
            Purpose::Expression(_) => all.all(|(_, l)| l.purpose != purpose || ready(l.device)),
            Purpose::Treadle(Plugged::Port(port)) => {
                let mut moved = all.filter(|(_, l)| l.purpose == Purpose::Expression(port)).peekable();
                moved.peek().is_some() && moved.all(|(at, _)| self.network.plugged(at))
            }
            Purpose::Midi => {
                let before = match lead.from {
                    Jack::MidiThru(device) => {
                        all.any(|(at, l)| l.to.contains(&Jack::MidiIn(device)) && self.network.plugged(at))
                    }
                    _ => true,
                };
                before && ready(lead.device)
            }
            _ => false,
        }
    }
}
