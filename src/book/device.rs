//! Pedals, buffers and amps: where they sit and what can be set on them.

use super::amount::Amount;
use super::electric::Electric;
use super::helper::Helper;
use super::message::{Cue, Message};
use super::scene::Spanned;
use crate::ids::{ControlId, Numbered};
use crate::source::Span;

/// So many devices, controls of a device, states of a control: their numbers are small, as the tables are full of them.
pub const MOST: usize = u16::MAX as usize;
/// So many states of a control that only pulses move: a press each, and nobody steps further.
pub const MOST_PULSED: usize = 9_999;

/// What kind of device.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DeviceKind {
    Pedal,
    Buffer,
    Amp,
    /// A smaller unit with loops: nothing sounds through it but what sits in them.
    Helper,
    /// It takes messages and makes no sound: lights, a recorder.
    Listener,
}

impl DeviceKind {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            DeviceKind::Pedal => "pedal",
            DeviceKind::Buffer => "buffer",
            DeviceKind::Amp => "amp",
            DeviceKind::Helper => "helper",
            DeviceKind::Listener => "listener",
        }
    }
}

/// Where a pedal stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// In the raised row: a foot reaches it.
    Top,
    /// Tucked below it.
    Under,
}

/// A control of a device that engages and bypasses it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct EngagedBy {
    /// The control, an index of the device's.
    pub control: ControlId,
    /// The state in which it is engaged, and the one in which it is bypassed.
    pub engaged: u16,
    pub bypassed: u16,
    /// Where it is said.
    pub at: Span,
}

/// A device.
#[derive(Clone, Debug)]
pub struct Device {
    /// What kind.
    pub kind: DeviceKind,
    /// Its name.
    pub name: String,
    /// The text behind the name.
    pub title: Option<String>,
    /// The names and texts of the descriptions that it is like, the nearest first.
    pub like: Vec<String>,
    /// Where it is named.
    pub at: Span,
    /// Three letters for the loop label, when stated.
    pub code: Option<Spanned<String>>,
    /// Its loop.
    pub loop_at: Option<Spanned<u16>>,
    /// The loop has two sides.
    pub stereo: bool,
    /// In no loop: it always sounds. In a loop: every scene that does not bypass it engages it.
    pub always_on: bool,
    /// Where it stands, if stated.
    pub place: Option<Spanned<Place>>,
    /// A foot can tap a tempo on it.
    pub tap: bool,
    /// It follows MIDI clock.
    pub clock: bool,
    /// The level that a preset gives it its tempo by, an index of its controls.
    pub tempo: Option<ControlId>,
    /// How long it rings on after its input is cut, in seconds.
    pub tail: Option<Spanned<f64>>,
    /// A program that it is sent cuts that too.
    pub programs_cut: bool,
    /// The output that feeds it (amps).
    pub fed_by: Option<Spanned<u16>>,
    /// Its own switch after power-up, if stated: on?
    pub own_switch: Option<bool>,
    /// Knobs set by hand before the show: name and setting.
    pub knobs: Vec<(String, String)>,
    /// Impedances, gain and power.
    pub electric: Electric,
    /// Controls and levels, in the order stated.
    pub controls: Numbered<ControlId, Control>,
    /// What engages it where it sits in no loop: a control of its own in one of two states.
    pub engaged_by: Option<EngagedBy>,
    /// It is watched, not heard; where that is said.
    pub tuner: Option<Span>,
    /// What it has as a helper.
    pub helper: Option<Box<Helper>>,
    /// Something in its description could not be understood: what it seems to lack, it may have.
    pub faulty: bool,
}

/// One contact of a remote jack.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Contact {
    /// The jack, from 1.
    pub jack: u16,
    /// The ring, else the tip.
    pub ring: bool,
}

impl Contact {
    /// `remote 1 tip`.
    pub fn says(self) -> String {
        format!("remote {} {}", self.jack, if self.ring { "ring" } else { "tip" })
    }
}

/// How a control or level is moved.
#[derive(Clone, PartialEq, Debug)]
pub enum How {
    /// By the foot, on the device itself.
    Foot,
    /// By contacts of remote jacks.
    Remote { contacts: Vec<Contact>, momentary: bool, shared: bool, normally_closed: bool },
    /// By MIDI program changes, counted `from` 0 or 1 as the device does; channel 1 to 16.
    Programs { channel: u16, from: u16, shared: bool },
    /// A level on an expression port.
    Port { port: u16, from: Amount, to: Amount, shared: bool },
    /// A level that the unit itself gives the output that feeds the device, in dB, in so many steps.
    Trim { output: u16, from: Amount, to: Amount, steps: u16 },
    /// By values of a MIDI controller, one a state.
    CcStates { channel: u16, cc: u16, shared: bool },
    /// By messages of several kinds, those of each state listed.
    Messages { channel: u16, shared: bool },
    /// A level on a MIDI controller.
    Cc { channel: u16, cc: u16, from: Amount, to: Amount, shared: bool },
    /// A tempo, by so many pulses of a contact that come a beat apart: what the device takes.
    Pulses { contact: Contact, count: u16, from: Amount, to: Amount },
    /// A tempo, by the clock that the switcher sends.
    Clock,
    /// A level that only a foot or hand moves on the device.
    FootLevel { from: Amount, to: Amount },
    /// Its description could not be understood.
    Unknown,
}

/// The slowest and the fastest tempo that a song may have, in beats a minute.
pub const SLOWEST: i64 = 10;
pub const FASTEST: i64 = 999;

/// Steps of a MIDI controller: 7 bits of data (MIDI 1.0 Detailed Specification, table III).
pub const CC_STEPS: u16 = 128;
/// Steps of a level that only a foot or hand moves: it has none of its own, and nothing is rounded but what nobody can
/// set so finely.
pub const FINEST: u16 = u16::MAX;

impl How {
    /// How many steps a level has, on ports of so many.
    pub fn steps(&self, ports: u16) -> u16 {
        match self {
            How::Port { .. } => ports,
            How::Trim { steps, .. } => *steps,
            How::FootLevel { .. } | How::Pulses { .. } | How::Clock => FINEST,
            _ => CC_STEPS,
        }
    }

    /// The two ends of a level, which takes a value instead of a state. All pulses and clocks are counted on one scale, so that
    /// two boards store one tempo alike.
    pub fn level(&self) -> Option<(Amount, Amount)> {
        match self {
            How::Pulses { .. } | How::Clock => Some((Amount::bpm(SLOWEST), Amount::bpm(FASTEST))),
            How::Port { from, to, .. }
            | How::Trim { from, to, .. }
            | How::Cc { from, to, .. }
            | How::FootLevel { from, to } => Some((*from, *to)),
            _ => None,
        }
    }

    /// The MIDI channel that it is sent on.
    pub fn channel(&self) -> Option<u16> {
        match self {
            How::Programs { channel, .. }
            | How::Cc { channel, .. }
            | How::CcStates { channel, .. }
            | How::Messages { channel, .. } => Some(*channel),
            _ => None,
        }
    }

    /// What a level takes: the part of its scale that the device was said to follow.
    pub fn takes(&self) -> Option<(Amount, Amount)> {
        if let How::Pulses { from, to, .. } = self { Some((*from, *to)) } else { self.level() }
    }
}

/// A state of a control.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    /// Its name.
    pub name: String,
    /// Where it is named.
    pub at: Span,
    /// For contacts: closed or open, in the order of the control's contacts.
    pub pattern: Vec<bool>,
    /// For programs: the number as the device counts it. For a controller: its value.
    pub program: Option<u16>,
    /// For programs: the bank they lie in, from 1 to 16384, when stated.
    pub bank: Option<u16>,
    /// For messages: those that are sent, in order.
    pub messages: Vec<Message>,
}

/// A control (a finite choice) or a level (a range).
#[derive(Clone, PartialEq, Debug)]
pub struct Control {
    /// Its name.
    pub name: String,
    /// Where it is named.
    pub at: Span,
    /// How it is moved.
    pub how: How,
    /// Its states; none for a level.
    pub states: Vec<State>,
    /// Other names that scenes ask for its states by, each with the state's place.
    pub asked_as: Vec<(String, u16)>,
    /// A state of it could not be understood: a name that is not among them may be that one's.
    pub lost: bool,
    /// The state after power-up, when stated: None inside means unknown.
    pub starts: Option<Option<String>>,
    /// When it is sent, and how often.
    pub cue: Cue,
}

impl Control {
    /// One of which no more is said yet.
    pub fn new(name: String, at: Span, how: How) -> Control {
        Control {
            name,
            at,
            how,
            states: Vec::new(),
            asked_as: Vec::new(),
            lost: false,
            starts: None,
            cue: Cue::default(),
        }
    }

    /// A table shows its states by numbers: programs, or the values of a controller.
    pub fn numbered(&self) -> bool {
        !self.banked() && matches!(self.how, How::Programs { .. } | How::CcStates { .. })
    }

    /// Some of its programs lie in a stated bank.
    pub fn banked(&self) -> bool {
        self.states.iter().any(|s| s.bank.is_some())
    }

    /// True for a contact that sends pulses.
    pub fn momentary(&self) -> bool {
        matches!(self.how, How::Remote { momentary: true, .. })
    }

    /// The place of the state after power-up, when it is known.
    pub fn start(&self) -> Option<usize> {
        let name = self.starts.as_ref()?.as_ref()?;
        self.states.iter().position(|s| s.name == *name)
    }
}

impl Device {
    /// True when it sounds in every scene, or is watched in every scene.
    pub fn always(&self) -> bool {
        self.always_on || matches!(self.kind, DeviceKind::Amp | DeviceKind::Buffer) || self.watched()
    }

    /// True for what takes messages and makes no sound: whatever is sent to it matters.
    pub fn listens(&self) -> bool {
        self.kind == DeviceKind::Listener
    }

    /// True for the control that engages it.
    pub fn switches(&self, control: ControlId) -> bool {
        self.engaged_by.is_some_and(|by| by.control == control)
    }

    /// True for a tuner at the end of a way of its own: what reaches it is seen, and nobody hears it.
    pub fn watched(&self) -> bool {
        self.tuner.is_some() && self.kind == DeviceKind::Pedal && self.loop_at.is_none()
    }

    /// The first MIDI channel on which it hears messages; None where it hears none, though it may follow the clock.
    pub fn channel(&self) -> Option<u16> {
        self.controls.iter().filter_map(|c| c.how.channel()).min()
    }

    /// A foot cannot reach it.
    pub fn under(&self) -> bool {
        self.place.is_some_and(|p| p.value == Place::Under)
    }

    /// The label: stated, or made from the name: its first letter and the next two consonants, then vowels,
    /// in capitals. It depends on the name alone.
    pub fn label(&self) -> String {
        self.code.as_ref().map_or_else(|| made_up_code(&self.name), |c| c.value.clone())
    }
}

/// Three letters from a name.
pub fn made_up_code(name: &str) -> String {
    let letters: Vec<char> = name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect();
    let vowel = |c: &char| "AEIOUY".contains(*c);
    let mut rest = letters.iter().skip(1);
    let first = letters.first().copied();
    let consonants = rest.clone().filter(|c| !vowel(c));
    let vowels = rest.by_ref().filter(|c| vowel(c));
    first.into_iter().chain(consonants.chain(vowels).copied().take(2)).collect()
}

#[cfg(test)]
mod tests {
    use super::made_up_code;

    #[test]
    fn codes_take_consonants_first() {
        assert_eq!(made_up_code("swirl"), "SWR");
        assert_eq!(made_up_code("echo-box"), "ECH");
        assert_eq!(made_up_code("ooze"), "OZO");
        assert_eq!(made_up_code("aura"), "ARU");
        assert_eq!(made_up_code("q"), "Q");
    }
}
