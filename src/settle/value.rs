//! What one cell of one row holds.

use crate::book::LevelValue;

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
    /// A program, counted as the device does; or the value of a controller, where states are such values.
    Program(u16),
    /// A state, by its place in the control.
    State(u16),
    /// The switcher's input for guitars that is heard, from 1.
    Input(u16),
}

impl Value {
    /// True for `Off` or `On` from a flag.
    pub fn of(on: bool) -> Value {
        if on { Value::On } else { Value::Off }
    }

    /// True when a foot holds it.
    pub fn foot(self) -> bool {
        matches!(self, Value::Foot | Value::FromHeel | Value::FromToe)
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
