//! What one cell of one row holds.

use crate::book::{End, LevelValue, LoopOrder, Travel};

/// A cell's value. Small, so that a table of many thousand rows stays small.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Value {
    /// Bypassed, open, off.
    Off,
    /// Engaged, closed, on.
    On,
    /// A contact pulses.
    Pulse,
    /// Nothing is sent: whatever it was, it stays.
    Stays,
    /// Not known: two statements clash, none was made, or the meaning comes later.
    Unknown,
    /// A stored step of a level.
    Step(u16),
    /// The foot moves it.
    Foot,
    /// The foot moves it, from the heel.
    FromHeel,
    /// The foot moves it, from the toe.
    FromToe,
    /// A treadle on an input moves it, from one step to another.
    Moved(Travel),
    /// A program, counted as the device does; or the value of a controller, where states are such values.
    Program(u16),
    /// A state, by its place in the control.
    State(u16),
    /// The switcher's input for guitars that is heard, from 1.
    Input(u16),
    /// The order of the unit's loops.
    Order(LoopOrder),
}

// A table of many thousand rows is full of them.
const _: () = assert!(size_of::<Value>() == 6);

impl Value {
    /// True for `Off` or `On` from a flag.
    pub fn of(on: bool) -> Value {
        if on { Value::On } else { Value::Off }
    }

    /// True when a foot holds it.
    pub fn foot(self) -> bool {
        matches!(self, Value::Foot | Value::FromHeel | Value::FromToe | Value::Moved(_))
    }

    /// The steps with the heel down and with the toe down, of a level of so many steps that a foot holds.
    pub fn ends(self, steps: u16) -> Option<(u16, u16)> {
        match self {
            Value::Moved(travel) => Some(travel.ends()),
            held => held.foot().then(|| (0, steps.saturating_sub(1))),
        }
    }

    /// Where the foot starts, if that is said.
    pub fn start(self) -> Option<End> {
        match self {
            Value::FromHeel => Some(End::Heel),
            Value::FromToe => Some(End::Toe),
            Value::Moved(travel) => travel.start(),
            _ => None,
        }
    }

    /// As the unit stores it: where the foot starts is for the player alone.
    pub fn unstarted(self) -> Value {
        match self {
            Value::FromHeel | Value::FromToe => Value::Foot,
            Value::Moved(travel) => Value::Moved(travel.stored()),
            other => other,
        }
    }
}

impl From<LevelValue> for Value {
    fn from(level: LevelValue) -> Value {
        match level {
            LevelValue::Step(step) => Value::Step(step),
            LevelValue::Foot => Value::Foot,
            LevelValue::FromHeel => Value::FromHeel,
            LevelValue::FromToe => Value::FromToe,
            LevelValue::Stays => Value::Stays,
        }
    }
}
