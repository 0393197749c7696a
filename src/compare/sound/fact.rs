//! What can be heard of a row, by numbers that both books share.

use crate::book::End;
use crate::book::device::Contact;
use crate::ids::ColumnId;
use crate::settle::Value;

/// Something that can be heard, by numbers that both books share.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Key {
    /// A pedal in a loop is in; an amp is silent.
    Device(u32),
    /// A control or level of a device that sounds, by device and control.
    Setting(u32, u32),
    /// A loop that no pedal sits in is in.
    Loop(u16),
    /// A contact that no control uses is closed.
    Contact(Contact),
    /// A port that no level uses is away from its rest.
    Port(u16),
    /// An output that feeds no amp.
    Output(u16),
    /// Which guitar is heard.
    Guitar,
    /// The order of the loops that are in.
    Order,
}

/// One thing heard in a row.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fact {
    /// What.
    pub key: Key,
    /// How it stands, comparable between the books.
    pub value: Heard,
    /// The first cell behind it.
    pub cell: ColumnId,
}

/// How something stands.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Heard {
    /// A pedal is in.
    In,
    /// An amp is silent.
    Silent,
    /// A state, by a number that both books share.
    State(u32),
    /// A level in its base unit, and how far off a stored step may be (a little less than half a step, so that
    /// two neighbouring steps of one range still differ).
    Level { value: f64, slack: f64 },
    /// What is plugged into the guitar input that is heard, by a number that both books share; and the input.
    Plugged(u32, u16),
    /// A level that a treadle on an input moves: a number for the treadle's name, where the foot starts, and the level at the
    /// two ends, in its base unit, with how far off each may be.
    Moved { by: u64, start: Option<End>, heel: f64, toe: f64, slack: f64 },
    /// The foot holds it, or it stays, or it is not known, or a value of a cell that nobody uses.
    Raw(Value),
    /// Contacts in a pattern that the control does not list: two bits a contact.
    Pattern(u32),
}

impl Heard {
    /// True when nobody could hear the difference: levels within the rounding of their stored steps are one.
    pub fn same(self, other: Heard) -> bool {
        match (self, other) {
            (Heard::Level { value: a, slack: s }, Heard::Level { value: b, slack: t }) => (a - b).abs() <= s + t,
            (Heard::Plugged(a, _), Heard::Plugged(b, _)) => a == b,
            (
                Heard::Moved { by, start, heel, toe, slack },
                Heard::Moved { by: by2, start: start2, heel: heel2, toe: toe2, slack: slack2 },
            ) => {
                let near = |a: f64, b: f64| (a - b).abs() <= slack + slack2;
                (by, start) == (by2, start2) && near(heel, heel2) && near(toe, toe2)
            }
            (a, b) => a == b,
        }
    }
}
