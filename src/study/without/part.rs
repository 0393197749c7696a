//! The parts of a board that can die.

use crate::book::electric::Taker;
use crate::book::{Board, DeviceKind, Plugged};
use crate::ids::{ControlId, DeviceId};
use crate::study::wiring::{Wiring, end};

/// A part that can die. Numbers are indexes of the board's lists, but for loops, jacks and outputs, which count from 1.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Part {
    /// A pedal, buffer, tuner or amp.
    Device(DeviceId),
    /// One channel of an amp: any state of a control of it.
    Channel {
        amp: DeviceId,
        control: ControlId,
        state: usize,
    },
    /// A guitar: a string breaks.
    Guitar(usize),
    /// A loop of the switcher.
    Loop(u16),
    /// A remote jack of the switcher.
    Remote(u16),
    /// An output of the switcher.
    Output(u16),
    /// A treadle.
    Treadle(usize),
    /// A whole supply, and one outlet of it.
    Supply(usize),
    Outlet(usize, usize),
    /// The switcher itself.
    Switcher,
    /// A lead, an index of `Wiring::leads`.
    Lead(usize),
}

/// All parts of a board: devices in board order, guitars, what the switcher has, power, leads.
pub fn all(board: &Board, wiring: &Wiring) -> Vec<Part> {
    let mut out: Vec<Part> = board.devices.ids().map(Part::Device).collect();
    let amps = board.devices.pairs().filter(|(_, d)| d.kind == DeviceKind::Amp);
    for (amp, device) in amps {
        for (control, c) in device.controls.pairs().filter(|(_, c)| c.states.len() > 1) {
            out.extend((0..c.states.len()).map(|state| Part::Channel { amp, control, state }));
        }
    }
    out.extend((0..board.guitars.len()).map(Part::Guitar));
    out.extend((0..board.treadles.len()).map(Part::Treadle));
    if let Some(switcher) = &board.switcher {
        out.push(Part::Switcher);
        out.extend((1..=switcher.loops).map(Part::Loop));
        out.extend((1..=switcher.jacks).map(Part::Remote));
        out.extend((1..=switcher.outputs).map(Part::Output));
    }
    for (s, supply) in board.supplies.iter().enumerate() {
        out.push(Part::Supply(s));
        out.extend((0..supply.outlets.len()).map(|o| Part::Outlet(s, o)));
    }
    out.extend((0..wiring.leads.len()).map(Part::Lead));
    out
}

impl Part {
    /// What it is called, in the words of the book: `hasp`, `loop 5`, `larch.channel lead`, `lead 12`.
    pub fn name(self, board: &Board, wiring: &Wiring) -> String {
        let device = |d: DeviceId| board.devices.get(d).map_or("?", |d| d.name.as_str());
        let supply = |s: usize| board.supplies.get(s);
        match self {
            Part::Device(d) => device(d).to_owned(),
            Part::Channel { amp, control, state } => {
                let of = board.devices.get(amp).and_then(|d| d.controls.get(control));
                let states = of.and_then(|c| c.states.get(state));
                let (control, state) = (of.map_or("?", |c| &c.name), states.map_or("?", |s| &s.name));
                format!("{}.{control} {state}", device(amp))
            }
            Part::Guitar(g) => board.guitars.get(g).map_or("?".to_owned(), |g| g.name.clone()),
            Part::Loop(n) => board.loop_says(n),
            Part::Remote(n) => format!("remote {n}"),
            Part::Output(n) => format!("output {n}"),
            Part::Treadle(t) => board.treadles.get(t).map_or("?".to_owned(), |t| t.name.clone()),
            Part::Supply(s) => supply(s).map_or("?".to_owned(), |s| s.name.clone()),
            Part::Outlet(s, o) => {
                let outlet = supply(s).and_then(|s| s.outlets.get(o));
                format!("{}.{}", supply(s).map_or("?", |s| &s.name), outlet.map_or("?", |o| &o.name))
            }
            Part::Switcher => "switcher".to_owned(),
            Part::Lead(l) => format!("lead {}", wiring.leads.get(l).map_or(0, |l| l.number)),
        }
    }

    /// What it is, behind its name: `pedal in loop 5`, `from loop 5 send to hasp in`.
    pub fn what(self, board: &Board, wiring: &Wiring) -> String {
        match self {
            Part::Device(d) => board.devices.get(d).map_or(String::new(), |device| match device.loop_at {
                Some(n) => format!("{} in {}", device.kind.word(), board.loop_says(n.value)),
                None if device.watched() => "tuner".to_owned(),
                None => device.kind.word().to_owned(),
            }),
            Part::Channel { .. } => "setting of an amp".to_owned(),
            Part::Guitar(_) => "guitar, a string breaks".to_owned(),
            Part::Loop(n) => board.in_loop(n).map_or("empty".to_owned(), |d| format!("of `{}`", d.name)),
            Part::Remote(_) | Part::Output(_) | Part::Switcher => String::new(),
            Part::Treadle(t) => board.treadles.get(t).map_or(String::new(), |t| match t.plugged {
                Plugged::Port(port) => format!("treadle of expression {port}"),
                Plugged::Input(input) => format!("treadle on foot input {input}"),
            }),
            Part::Supply(_) => "supply".to_owned(),
            Part::Outlet(s, o) => {
                let hangs =
                    |taker: &Taker| board.power(*taker).is_some_and(|p| (p.supply, p.outlet) == (Some(s), Some(o)));
                let names: Vec<String> =
                    board.takers().filter(hangs).map(|t| format!("`{}`", board.taker(t))).collect();
                if names.is_empty() {
                    "outlet that nothing hangs on".to_owned()
                } else {
                    format!("outlet of {}", names.join(", "))
                }
            }
            Part::Lead(l) => wiring.leads.get(l).map_or(String::new(), |lead| {
                let to: Vec<String> = lead.to.iter().map(|jack| end(board, jack)).collect();
                format!("{} to {}", end(board, &lead.from), to.join(", "))
            }),
        }
    }
}
