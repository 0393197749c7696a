//! Random books: a board, then defaults, layers and scenes that mostly make sense and sometimes clash.

use super::abstract_book::*;
use super::board::board;
use super::random::Random;

const SCENES: [&str; 12] =
    ["aster", "birch", "cedar", "dune", "estuary", "fern", "gorse", "heath", "islet", "jetty", "kelp", "loch"];
const LAYERS: [&str; 4] = ["broad", "thick", "lift", "haze"];

pub(crate) fn book(seed: u64) -> Book {
    let random = &mut Random::new(seed);
    let (switcher, devices) = board(random);
    // How often a statement may contradict an earlier one of its block.
    let clash = *random.pick(&[0, 0, 15, 40, 80]);
    let mut maker = Maker { random, switcher: &switcher, devices: &devices, clash };
    let defaults = maker.defaults();
    let layers: Vec<Layer> = LAYERS
        .iter()
        .take(maker.random.below(5))
        .map(|name| Layer { name: name.to_string(), says: maker.some(1, 4) })
        .collect();
    let mut names = SCENES;
    maker.random.shuffle(&mut names);
    let count = maker.random.within(3, 12);
    let mut scenes: Vec<Scene> = Vec::new();
    for name in names.iter().take(count) {
        let from = (!scenes.is_empty() && maker.random.chance(55)).then(|| maker.random.below(scenes.len()));
        let mut with: Vec<usize> = (0..layers.len()).filter(|_| maker.random.chance(28)).collect();
        maker.random.shuffle(&mut with);
        let says = if from.is_some() || !with.is_empty() { maker.some(0, 4) } else { maker.some(0, 7) };
        scenes.push(Scene { name: name.to_string(), from, with, says });
    }
    Book { defaults, layers, scenes, switcher, devices }
}

struct Maker<'a> {
    random: &'a mut Random,
    switcher: &'a Switcher,
    devices: &'a [Device],
    clash: usize,
}

impl Maker<'_> {
    fn defaults(&mut self) -> Vec<Vec<Say>> {
        let mut blocks: Vec<Vec<Say>> = vec![Vec::new(); *self.random.pick(&[0, 1, 1, 1, 1, 2])];
        if blocks.is_empty() {
            return blocks;
        }
        let mut said = Vec::new();
        for device in 0..self.devices.len() {
            for part in 0..self.devices[device].parts.len() {
                if self.random.chance(85) {
                    let say = self.set(device, part);
                    self.add(&mut said, say);
                }
            }
        }
        for _ in 0..*self.random.pick(&[0, 0, 1, 2]) {
            let say = self.say();
            self.add(&mut said, say);
        }
        for say in said {
            let block = self.random.below(blocks.len());
            blocks[block].push(say);
        }
        blocks
    }

    fn some(&mut self, low: usize, high: usize) -> Vec<Say> {
        let mut says = Vec::new();
        for _ in 0..self.random.within(low, high) {
            let say = self.say();
            if let Some(device) = self.engaged(&say) {
                // Who engages a pedal mostly says how it is to stand.
                for part in 0..self.devices[device].parts.len() {
                    if self.random.chance(35) {
                        let set = self.set(device, part);
                        self.add(&mut says, set);
                    }
                }
            }
            self.add(&mut says, say);
        }
        self.random.shuffle(&mut says);
        says
    }

    fn add(&mut self, says: &mut Vec<Say>, say: Say) {
        let reach = self.reach(&say);
        let meets = says.iter().any(|old| self.reach(old).iter().any(|r| reach.contains(r)));
        let say = if !meets || self.random.chance(self.clash) {
            say
        } else if self.random.chance(8) {
            // Saying the same thing twice is no contradiction.
            says[self.random.below(says.len())].clone()
        } else {
            return;
        };
        // But for a pulse: a preset sends one.
        let pulses =
            |old: &Say| matches!((old, &say), (Say::Pulse(a), Say::Pulse(b)) if a.jack == b.jack && a.ring == b.ring);
        if !says.iter().any(pulses) {
            says.push(say);
        }
    }

    fn engaged(&self, say: &Say) -> Option<usize> {
        match *say {
            Say::Engage(device) => Some(device),
            Say::EngageLoop(n) => self.devices.iter().position(|d| d.seat == Seat::Loop(n)),
            _ => None,
        }
    }

    /// Roughly what a statement is about: only to keep most blocks free of contradictions.
    fn reach(&self, say: &Say) -> Vec<(u8, usize, usize)> {
        match *say {
            Say::Engage(d) | Say::Bypass(d) => match self.devices[d].seat {
                Seat::Loop(n) => vec![(0, n, 0)],
                _ => vec![(1, d, 0)],
            },
            Say::EngageLoop(n) | Say::BypassLoop(n) => vec![(0, n, 0)],
            Say::Close(c) | Say::Open(c) | Say::Pulse(c) => vec![(2, c.jack, c.ring as usize)],
            Say::PortAt(n, _) | Say::PortFoot(n, _) | Say::PortStays(n) => vec![(3, n, 0)],
            Say::Output(n, _) => vec![(4, n, 0)],
            Say::Mute => (1..=self.switcher.outputs).map(|n| (4, n, 0)).collect(),
            Say::Set(d, p, _) => match &self.devices[d].parts[p].how {
                How::Contacts(c) => c.contacts().iter().map(|c| (2, c.jack, c.ring as usize)).collect(),
                How::Port { port, .. } => vec![(3, *port, 0)],
                _ => vec![(5, d, p)],
            },
        }
    }

    fn say(&mut self) -> Say {
        loop {
            if let Some(say) = self.try_say() {
                return say;
            }
        }
    }

    fn try_say(&mut self) -> Option<Say> {
        let switcher = self.switcher;
        Some(match self.random.below(100) {
            0..=37 if !self.devices.is_empty() => {
                let device = self.random.below(self.devices.len());
                let fixed = !matches!(self.devices[device].seat, Seat::Loop(_));
                if fixed && self.random.chance(75) {
                    return None;
                }
                let bypass = self.random.chance(30);
                if bypass { Say::Bypass(device) } else { Say::Engage(device) }
            }
            38..=47 => {
                let n = self.random.within(1, switcher.loops);
                if self.random.chance(30) { Say::BypassLoop(n) } else { Say::EngageLoop(n) }
            }
            48..=53 if switcher.jacks > 0 => {
                let contact = Contact { jack: self.random.within(1, switcher.jacks), ring: self.random.chance(50) };
                match self.random.below(9) {
                    0..=3 => Say::Close(contact),
                    4..=7 => Say::Open(contact),
                    _ => Say::Pulse(contact),
                }
            }
            54..=60 if switcher.ports > 0 => {
                let port = self.random.within(1, switcher.ports);
                match self.random.below(5) {
                    0 => Say::PortFoot(port, self.foot()),
                    1 => Say::PortStays(port),
                    _ => Say::PortAt(port, self.amount(0, 100_000)),
                }
            }
            61..=65 if switcher.outputs > 0 => {
                Say::Output(self.random.within(1, switcher.outputs), self.random.chance(50))
            }
            66..=67 => Say::Mute,
            68..=99 => {
                let having: Vec<usize> =
                    (0..self.devices.len()).filter(|&d| !self.devices[d].parts.is_empty()).collect();
                if having.is_empty() {
                    return None;
                }
                let device = *self.random.pick(&having);
                let part = self.random.below(self.devices[device].parts.len());
                self.set(device, part)
            }
            _ => return None,
        })
    }

    fn set(&mut self, device: usize, part: usize) -> Say {
        let how = &self.devices[device].parts[part].how;
        let states = match how {
            How::Contacts(c) => c.states.len(),
            How::Programs { states, .. } => states.len(),
            How::FootStates(states) => states.len(),
            How::Port { .. } | How::Cc { .. } => 0,
        };
        let to = match how {
            _ if self.random.chance(7) => To::Stays,
            How::Port { .. } if self.random.chance(15) => To::Foot(self.foot()),
            How::Port { range, .. } | How::Cc { range, .. } => {
                To::Amount(self.amount(range.from.min(range.to), range.from.max(range.to)))
            }
            _ => To::State(self.random.below(states)),
        };
        Say::Set(device, part, to)
    }

    fn foot(&mut self) -> Foot {
        *self.random.pick(&[Foot::Anywhere, Foot::Heel, Foot::Toe])
    }

    /// Ends, round fractions (which fall on the edge between two steps) and anything between.
    fn amount(&mut self, low: Milli, high: Milli) -> Milli {
        let parts = *self.random.pick(&[1, 2, 4, 5, 8, 10]);
        match self.random.below(4) {
            0..=2 => low + (high - low) * self.random.below(parts + 1) as i64 / parts as i64,
            _ => low + self.random.below((high - low) as usize + 1) as i64,
        }
    }
}
