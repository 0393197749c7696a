//! The board: what stands on the floor and behind it, and what must hold of it whatever is played.

use super::electric::Taker;
use super::inside::{Inside, named};
use super::message::Abilities;
use super::scene::Spanned;
use super::song::SwitchName;
use super::{Amount, Answers, Call, Device, Rule, Slot, SlotRange, Timing, Ways, electric};
use crate::ids::{ControlId, DeviceId, Numbered};
use crate::source::Span;

/// The switcher: how many of everything it has.
#[derive(Clone, Debug, Default)]
pub struct Switcher {
    /// Where it is described.
    pub at: Span,
    /// Loops, numbered from 1: its own, then those of the helpers.
    pub loops: u16,
    /// Its own alone.
    pub own_loops: u16,
    /// The last loop before the split, when the rest sit elsewhere (an amp's effects loop).
    pub split: Option<u16>,
    /// Remote jacks, each with a tip and a ring.
    pub jacks: u16,
    /// Expression ports.
    pub ports: u16,
    /// Steps of an expression port.
    pub steps: u16,
    /// Inputs for treadles, of which each preset says what they move.
    pub inputs: u8,
    /// So many levels can each of them move in one preset, if that is stated.
    pub targets: Option<Spanned<u16>>,
    /// Outputs that may feed an amp.
    pub outputs: u16,
    /// Steps of the trim that a preset stores for each output; 0 where the unit has none.
    pub trims: u16,
    /// Inputs for guitars, of which a preset hears one; 0 where nobody speaks of them.
    pub guitar_inputs: u16,
    /// Each preset stores the order of its own loops.
    pub ordered: bool,
    /// Outputs that share no ground with the board: a transformer stands in them.
    pub isolated: Vec<u16>,
    /// What it can do with messages, as far as that is stated.
    pub messages: Abilities,
    /// It sends MIDI clock, at a tempo that each preset stores.
    pub clock: bool,
    /// What calls its presets from outside.
    pub answers: Option<Answers>,
    /// The slots, if banks and switches are stated.
    pub slots: Option<SlotRange>,
    /// Where its power comes from, and how much.
    pub power: Option<electric::Power>,
    /// Letters of a preset's name that the unit shows.
    pub display: Option<u16>,
    /// What it can do inside a preset, if that is stated.
    pub inside: Option<Inside>,
    /// Something in the description could not be read: counts are not to be trusted.
    pub faulty: bool,
}

/// A guitar.
#[derive(Clone, Debug)]
pub struct Guitar {
    /// Its name.
    pub name: String,
    /// The text behind the name.
    pub title: Option<String>,
    /// Where it is described.
    pub at: Span,
    /// Its pickup.
    pub pickup: Option<electric::Pickup>,
    /// Its volume control.
    pub volume: Option<electric::Volume>,
    /// The lead from it to the board.
    pub cable: Option<electric::Lead>,
    /// The switcher's input that it is plugged into.
    pub input: Option<Spanned<u16>>,
    /// The settings of devices that let it through, any of them.
    pub when: Vec<Spanned<Lets>>,
    /// Something in it could not be understood.
    pub faulty: bool,
}

impl Guitar {
    /// The same presets hear it as hear another one.
    pub fn plugged_as(&self, other: &Guitar) -> bool {
        let input = |guitar: &Guitar| guitar.input.map(|i| i.value);
        let when = |guitar: &Guitar| guitar.when.iter().map(|w| w.value).collect::<Vec<_>>();
        input(self) == input(other) && when(self) == when(other)
    }
}

/// A state of a device's control that lets a guitar through: indexes of device, control and state.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Lets {
    pub device: DeviceId,
    pub control: ControlId,
    pub state: u16,
}

/// Where a treadle is plugged.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Plugged {
    /// It feeds an expression port, from 1.
    Port(u16),
    /// It sits on an input of the switcher, from 1: each preset says what it moves.
    Input(u8),
}

/// A treadle.
#[derive(Clone, Debug)]
pub struct Treadle {
    /// Its name.
    pub name: String,
    /// Where it is plugged.
    pub plugged: Plugged,
    /// Where it is described.
    pub at: Span,
}

/// A whole board.
#[derive(Clone, Debug, Default)]
pub struct Board {
    /// Its title.
    pub title: Option<Spanned<String>>,
    /// The version word.
    pub version: Option<Spanned<String>>,
    /// The switcher.
    pub switcher: Option<Switcher>,
    /// How it behaves between presets.
    pub timing: Timing,
    /// Which preset may follow which, if it is not the usual.
    pub ways: Option<Spanned<Ways>>,
    /// Pedals, buffers and amps, in board order: by loop and place in the chains, amps last.
    pub devices: Numbered<DeviceId, Device>,
    /// Guitars, by name.
    pub guitars: Vec<Guitar>,
    /// Supplies, by name.
    pub supplies: Vec<electric::Supply>,
    /// Chains of leads: from a guitar first, then by loop.
    pub chains: Vec<electric::Chain>,
    /// How long leads are, where nothing else says it.
    pub leads: electric::Leads,
    /// The outer jacks of the board.
    pub panel: Option<electric::Panel>,
    /// Treadles: those that feed a port, by port; then by input.
    pub treadles: Vec<Treadle>,
    /// Rules that were understood, in the order read.
    pub rules: Vec<Rule>,
    /// The step in level between two sounds that is too much, in dB, if stated.
    pub limit_step: Option<Spanned<Amount>>,
}

impl Board {
    /// The first of the switches that work inside presets, and how many there are; none where the unit has none.
    pub fn inside(&self) -> (Option<SwitchName>, u32) {
        let switches = self.switcher.as_ref().and_then(|s| s.inside).and_then(|inside| inside.switches);
        switches.map_or((None, 0), |(first, count)| (Some(first), count))
    }

    /// What such switches are called, a bit each: `6`, `6 and 7`.
    pub fn switches_named(&self, switches: u8) -> String {
        named(self.inside().0, switches)
    }

    /// A slot may have a second row.
    pub fn has_rows(&self) -> bool {
        self.switcher.as_ref().and_then(|s| s.slots).is_some_and(|range| range.rows > 1)
    }

    /// All that may take power: the switcher first, then the devices in board order.
    pub fn takers(&self) -> impl Iterator<Item = Taker> {
        let switcher = self.switcher.iter().map(|_| Taker::Switcher);
        switcher.chain(self.devices.ids().map(Taker::Device))
    }

    /// What a taker asks of an outlet, if it says so.
    pub fn power(&self, taker: Taker) -> Option<&electric::Power> {
        match taker {
            Taker::Switcher => self.switcher.as_ref()?.power.as_ref(),
            Taker::Device(index) => self.devices.get(index)?.electric.power.as_ref(),
        }
    }

    /// What calls a slot from outside; None where nothing does.
    pub fn call(&self, slot: Slot) -> Option<Call> {
        let switcher = self.switcher.as_ref()?;
        switcher.answers?.call(switcher.slots?, slot)
    }

    /// What a taker is called.
    pub fn taker(&self, taker: Taker) -> &str {
        match taker {
            Taker::Switcher => "switcher",
            Taker::Device(index) => self.devices.get(index).map_or("?", |d| &d.name),
        }
    }

    /// Something in its description could not be understood.
    pub fn faulty(&self, taker: Taker) -> bool {
        match taker {
            Taker::Switcher => self.switcher.as_ref().is_some_and(|s| s.faulty),
            Taker::Device(index) => self.devices.get(index).is_some_and(|d| d.faulty),
        }
    }

    /// True for an output that feeds tuners and nothing else: `mute` leaves it as it is.
    pub fn watched(&self, output: u16) -> bool {
        let mut fed = self.devices.iter().filter(|d| d.fed_by.is_some_and(|f| f.value == output)).peekable();
        fed.peek().is_some() && fed.all(Device::watched)
    }

    /// True where presets choose which guitar is heard: by the switcher's inputs, or by a device.
    pub fn chooses_guitars(&self) -> bool {
        self.switcher.as_ref().is_some_and(|s| s.guitar_inputs > 1) || self.guitars.iter().any(|g| !g.when.is_empty())
    }

    /// The guitars on an input of the switcher, by name.
    pub fn on_input(&self, input: u16) -> impl Iterator<Item = &Guitar> {
        self.guitars.iter().filter(move |g| g.input.is_some_and(|i| i.value == input))
    }

    /// What an input of the switcher hears: `slab`, `slab or lap`; `guitar input 2` where no guitar is said to be there.
    pub fn plugged(&self, input: u16) -> String {
        let names: Vec<&str> = self.on_input(input).map(|g| g.name.as_str()).collect();
        if names.is_empty() { format!("guitar input {input}") } else { names.join(" or ") }
    }

    /// The treadle that feeds a port.
    pub fn treadle_of(&self, port: u16) -> Option<&Treadle> {
        self.treadles.iter().find(|t| t.plugged == Plugged::Port(port))
    }

    /// The treadle on an input.
    pub fn treadle_on(&self, input: u8) -> Option<&Treadle> {
        self.treadles.iter().find(|t| t.plugged == Plugged::Input(input))
    }

    /// What the treadle on an input is called.
    pub fn treadle_name(&self, input: u8) -> String {
        self.treadle_on(input).map_or_else(|| format!("foot input {input}"), |t| t.name.clone())
    }

    /// The pedal in a loop.
    pub fn in_loop(&self, number: u16) -> Option<&Device> {
        self.devices.get(self.loop_holds(number)?)
    }

    /// The same, by its number.
    pub fn loop_holds(&self, number: u16) -> Option<DeviceId> {
        self.devices.position(|d| d.loop_at.is_some_and(|l| l.value == number))
    }
}
