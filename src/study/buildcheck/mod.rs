//! In which order to plug, so that each test has one new thing to blame: the order of the chains, one lead a step.

use crate::book::electric::Taker;
use crate::book::{Board, Control, How};
use crate::study::route::{Place, Route};
use crate::study::wiring::{Jack, Lead, Purpose, Wiring, end};

/// One step: a lead, what to do then, and what must be heard or seen.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// The lead to plug, an index of `Wiring::leads`.
    pub lead: usize,
    /// What to do.
    pub act: String,
    /// What must be heard or seen.
    pub expect: String,
}

/// The steps. Every lead has exactly one, and what drives a lead was tested before it.
pub fn steps(board: &Board, wiring: &Wiring) -> Vec<Step> {
    let mut work = Work { board, wiring, done: vec![false; wiring.leads.len()], order: Vec::new(), seen: Vec::new() };
    let route = Route::of(board);
    // Every lead but the bare guitar's leads to the switcher.
    work.take(|lead| lead.to.first() == Some(&Jack::Power(Taker::Switcher)));
    for number in 0..route.edges.len() {
        let Some(edge) = route.edges.get(number) else { continue };
        work.place(edge.from);
        work.device_first(edge.to);
        work.take(|lead| lead.purpose == Purpose::Chain(number));
        work.place(edge.to);
    }
    // What no chain reaches still wants its leads.
    for device in 0..board.devices.len() {
        work.device(device);
    }
    work.take(|_| true);
    work.order
}

struct Work<'w> {
    board: &'w Board,
    wiring: &'w Wiring,
    done: Vec<bool>,
    order: Vec<Step>,
    seen: Vec<Place>,
}

impl Work<'_> {
    fn take(&mut self, wanted: impl Fn(&Lead) -> bool) {
        for (index, lead) in self.wiring.leads.iter().enumerate() {
            let Some(done) = self.done.get_mut(index).filter(|done| !**done && wanted(lead)) else { continue };
            *done = true;
            let (act, expect) = say(self.board, lead);
            self.order.push(Step { lead: index, act, expect });
        }
    }

    /// A device that stands in the chain is powered before a lead reaches it.
    fn device_first(&mut self, place: Place) {
        if let Place::Device(device) = place {
            self.take(|l| l.device == Some(device) && l.purpose == Purpose::Power);
        }
    }

    /// All that hangs on a place, once a signal reaches it.
    fn place(&mut self, place: Place) {
        if self.seen.contains(&place) {
            return;
        }
        self.seen.push(place);
        match place {
            Place::Loop(number) => {
                let device = self.board.devices.iter().position(|d| d.loop_at.is_some_and(|l| l.value == number));
                if let Some(device) = device {
                    self.device(device);
                }
            }
            Place::Device(device) | Place::Amp(device) => self.device(device),
            _ => {}
        }
    }

    fn device(&mut self, index: usize) {
        let of = |lead: &Lead| lead.device == Some(index);
        self.take(|l| of(l) && l.purpose == Purpose::Power);
        self.take(|l| of(l) && matches!(l.purpose, Purpose::Send(_)));
        self.take(|l| of(l) && matches!(l.purpose, Purpose::Return(_)));
        self.take(|l| of(l) && matches!(l.purpose, Purpose::Remote(_)));
        let ports: Vec<u16> = self.wiring.leads.iter().filter(|l| of(l)).filter_map(port).collect();
        self.take(|l| of(l) && matches!(l.purpose, Purpose::Expression(_)));
        self.take(|l| matches!(l.purpose, Purpose::Treadle(port) if ports.contains(&port)));
        // A MIDI line reaches a device through those before it.
        let before = self.wiring.leads.iter().position(|l| of(l) && l.purpose == Purpose::Midi);
        if let Some(last) = before {
            let line: Vec<usize> = (0..=last).collect();
            let all = &self.wiring.leads;
            let on_line = |l: &Lead| l.purpose == Purpose::Midi && line.iter().any(|i| all.get(*i) == Some(l));
            self.take(on_line);
        }
    }
}

fn port(lead: &Lead) -> Option<u16> {
    match lead.purpose {
        Purpose::Expression(port) => Some(port),
        _ => None,
    }
}

/// What to do after a lead is plugged, and what must be heard or seen.
fn say(board: &Board, lead: &Lead) -> (String, String) {
    let name = match lead.to.first() {
        Some(Jack::Power(Taker::Switcher)) => "the switcher",
        _ => lead.device.and_then(|d| board.devices.get(d)).map_or("it", |d| d.name.as_str()),
    };
    let to = lead.to.first().map_or(String::new(), |j| end(board, j));
    match lead.purpose {
        Purpose::Power => (
            format!("read voltage and polarity off {name} first, then switch the supply on"),
            format!("{name} wakes up; nothing gets warm, nothing hums"),
        ),
        Purpose::Chain(_) => match (&lead.from, lead.to.first()) {
            (_, Some(Jack::Input(device, _))) if board.devices.get(*device).is_some_and(|d| d.watched()) => {
                (format!("play one string; watch {name}"), format!("{name} shows the note, and holds it"))
            }
            (_, Some(Jack::Input(..) | Jack::AmpReturn(..))) => (
                format!("play, all loops bypassed; listen at {name}"),
                format!("the sound arrives at {to}, clean and without hum"),
            ),
            (Jack::Guitar(_), _) => {
                (format!("play; hold a test lead to {to}"), "the bare guitar, loud and without hum".to_owned())
            }
            _ => (
                format!("play, all loops bypassed; hold a test lead to {to}"),
                "the same sound as one step before".to_owned(),
            ),
        },
        Purpose::Send(n) => (
            format!("engage loop {n}; hold a test lead to the output of {name}"),
            format!("{name} is heard, on and off by its own switch"),
        ),
        Purpose::Return(n) => (
            format!("take the test lead away; engage loop {n} and bypass it, twice"),
            format!("{name} comes and goes; bypassed, the sound is as it was before"),
        ),
        Purpose::Remote(n) => (format!("close and open remote {n} from the switcher"), states(board, lead, name)),
        Purpose::Expression(n) => (
            format!("set expression {n} to 0 %, to 50 % and to 100 %"),
            format!("{name} follows, from one end of its range to the other"),
        ),
        Purpose::Treadle(n) => (
            format!("hand expression {n} to the foot; rock from heel to toe"),
            "the level follows the foot; heel and toe are the right way round".to_owned(),
        ),
        Purpose::Midi => (
            format!("call two presets that send {name} two messages"),
            format!("{name} changes with each of them, and nothing else does"),
        ),
    }
}

/// The states that a remote lead picks, of each device on it.
fn states(board: &Board, lead: &Lead, name: &str) -> String {
    let Purpose::Remote(number) = lead.purpose else { return String::new() };
    if let Some(Jack::PanelOut(_) | Jack::PanelIn(_)) = lead.to.first() {
        return "at the panel's jack the contact closes and opens (a meter shows it)".to_owned();
    }
    let uses =
        |c: &&Control| matches!(&c.how, How::Remote { contacts, .. } if contacts.iter().any(|k| k.jack == number));
    let devices = lead.to.iter().filter_map(|j| match j {
        Jack::RemoteIn(d, ..) => board.devices.get(*d),
        _ => None,
    });
    let mut said = Vec::new();
    for device in devices {
        for control in device.controls.iter().filter(uses) {
            let states: Vec<&str> = control.states.iter().map(|s| s.name.as_str()).collect();
            said.push(format!("{} {} goes through {}", device.name, control.name, states.join(", ")));
        }
    }
    if said.is_empty() { format!("{name} answers") } else { said.join("; ") }
}
