//! A book as this test sees it: plain data with no text, no spans and no names bound to cells.
//! The writer turns it into source, the naive settler and the outside solver into a table.

use serde::Serialize;

/// Thousandths, so that a value is exact in source, here and in a solver that knows only integers.
pub(crate) type Milli = i64;

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Book {
    pub switcher: Switcher,
    pub devices: Vec<Device>,
    /// Each entry is one `default` block; together they are one rank.
    pub defaults: Vec<Vec<Say>>,
    pub layers: Vec<Layer>,
    pub scenes: Vec<Scene>,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Switcher {
    pub loops: usize,
    pub jacks: usize,
    pub ports: usize,
    pub steps: i64,
    pub outputs: usize,
    /// First bank and number of switches; the banks always suffice for all scenes.
    pub banks: Option<(usize, usize)>,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Device {
    pub name: String,
    pub seat: Seat,
    /// In a loop: engaged wherever nobody bypasses it.
    pub always: bool,
    pub parts: Vec<Part>,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) enum Seat {
    Loop(usize),
    AlwaysOn,
    Amp(Option<usize>),
    /// A tuner at an output.
    Tuner(usize),
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Part {
    pub name: String,
    pub how: How,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) enum How {
    Contacts(Contacts),
    Programs { channel: u8, states: Vec<(String, u16)> },
    FootStates(Vec<String>),
    Port { port: usize, range: Range },
    Cc { channel: u8, cc: u8, range: Range },
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Contacts {
    /// In the order written; a whole jack brings its tip and its ring.
    pub jacks: Vec<(usize, Sides)>,
    pub normally_closed: bool,
    pub shared: bool,
    /// Beside each contact of `contacts()`: closed, open, or not mentioned.
    pub states: Vec<(String, Vec<Option<bool>>)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) enum Sides {
    Both,
    Tip,
    Ring,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub(crate) struct Contact {
    pub jack: usize,
    pub ring: bool,
}

impl Contacts {
    pub(crate) fn contacts(&self) -> Vec<Contact> {
        let mut all = Vec::new();
        for &(jack, sides) in &self.jacks {
            if sides != Sides::Ring {
                all.push(Contact { jack, ring: false });
            }
            if sides != Sides::Tip {
                all.push(Contact { jack, ring: true });
            }
        }
        all
    }
}

#[derive(Clone, Copy, Debug, Serialize)]
pub(crate) struct Range {
    pub from: Milli,
    pub to: Milli,
    pub unit: &'static str,
    /// Not written when it is the range that goes without saying, 0 % to 100 %.
    pub written: bool,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Layer {
    pub name: String,
    pub says: Vec<Say>,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct Scene {
    pub name: String,
    pub from: Option<usize>,
    pub with: Vec<usize>,
    pub says: Vec<Say>,
}

/// One statement: a target of a list is a statement of its own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) enum Say {
    Engage(usize),
    Bypass(usize),
    EngageLoop(usize),
    BypassLoop(usize),
    Close(Contact),
    Open(Contact),
    Pulse(Contact),
    PortAt(usize, Milli),
    PortFoot(usize, Foot),
    PortStays(usize),
    Output(usize, bool),
    Mute,
    Set(usize, usize, To),
}

/// What a setting `device.part` says.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) enum To {
    State(usize),
    Amount(Milli),
    Foot(Foot),
    Stays,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub(crate) enum Foot {
    Anywhere,
    Heel,
    Toe,
}

/// What a table says, whoever computed it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Answer {
    pub columns: Vec<String>,
    pub rows: Vec<Row>,
    /// How many complaints of each compared code; codes with none are absent.
    pub counts: std::collections::BTreeMap<String, usize>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Row {
    pub slot: String,
    pub scene: String,
    pub stored: Vec<String>,
    /// The same with `-` in the free cells.
    pub dashed: Vec<String>,
}

pub(crate) const CODES: [&str; 7] = [
    "statements-disagree",
    "layers-disagree",
    "control-unsettled",
    "level-unsettled",
    "contact-pattern-unknown",
    "cannot-bypass",
    "always-bypassed",
];

impl Book {
    /// An output that feeds a tuner and no amp.
    pub(crate) fn watched(&self, output: usize) -> bool {
        let at = |seat: Seat| self.devices.iter().any(|d| d.seat == seat);
        at(Seat::Tuner(output)) && !at(Seat::Amp(Some(output)))
    }
}
