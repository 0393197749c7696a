//! Messages, when they are sent, and what the switcher can do with them.
//!
//! MIDI 1.0 Detailed Specification v4.2.1 (MMA, February 1996), tables I to III, V and VII: program change `Cn pp`, control
//! change `Bn cc vv`, note on `9n kk vv`, note off `8n kk vv` (velocity 64 where none is measured), channel less one in `n`,
//! data 0 to 127; a system exclusive text begins with F0 and the maker's number, and ends with F7.

use super::scene::Spanned;

/// The velocity of a note off that nobody measured.
pub const UNMEASURED: u8 = 64;
/// The bytes that a system exclusive text begins and ends with.
pub const BEGINS: u8 = 0xF0;
pub const ENDS: u8 = 0xF7;

/// A message.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Message {
    /// A control change: controller and value.
    Control(u8, u8),
    /// A program change: the byte sent, from 0.
    Program(u8),
    /// A note on: key and velocity.
    NoteOn(u8, u8),
    /// A note off.
    NoteOff(u8),
    /// A system exclusive text, its first and last byte among them.
    Exclusive(Box<[u8]>),
}

impl Message {
    /// Its bytes, the status byte always among them.
    pub fn bytes(&self, channel: u16) -> Vec<u8> {
        let n = (channel.saturating_sub(1) & 15) as u8;
        match self {
            Message::Control(controller, value) => vec![0xB0 | n, controller & 127, value & 127],
            Message::Program(program) => vec![0xC0 | n, program & 127],
            Message::NoteOn(key, velocity) => vec![0x90 | n, key & 127, velocity & 127],
            Message::NoteOff(key) => vec![0x80 | n, key & 127, UNMEASURED],
            Message::Exclusive(bytes) => bytes.to_vec(),
        }
    }
}

/// When a control's message is sent.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum When {
    /// As the preset is entered.
    #[default]
    Entering,
    /// As it is left, before what the next one sends.
    Leaving,
    /// So many milliseconds after it was entered; not at all where it is left before.
    After(u32),
}

/// When, and how often.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Cue {
    /// When it is sent.
    pub when: When,
    /// Not where the same was the last that the control sent.
    pub changed: bool,
}

impl Cue {
    /// `on leaving`, `after 2 s, only if changed`; nothing for what is sent at each press.
    pub fn says(self) -> String {
        let when = match self.when {
            When::Entering => String::new(),
            When::Leaving => "on leaving".to_owned(),
            When::After(ms) => format!("after {}", seconds(ms)),
        };
        let both = if self.changed && !when.is_empty() { ", " } else { "" };
        when + both + if self.changed { "only if changed" } else { "" }
    }
}

/// `2 s`, `0.5 s`.
pub fn seconds(ms: u32) -> String {
    format!("{} s", f64::from(ms) / 1000.0)
}

/// What the switcher can do with messages, as it is described.
#[derive(Clone, Copy, Debug, Default)]
pub struct Abilities {
    /// So many messages a preset holds.
    pub most: Option<Spanned<u16>>,
    /// It sends on leaving.
    pub leaving: bool,
    /// It sends later, so many milliseconds at most.
    pub after: Option<Spanned<u32>>,
    /// It leaves out what did not change.
    pub changed: bool,
    /// So many bytes a system exclusive text may have.
    pub bytes: Option<Spanned<u16>>,
}
