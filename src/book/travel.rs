//! How far a treadle on an input of the switcher moves a level.

/// Inputs for treadles that a switcher may have.
pub const MOST_INPUTS: u32 = 60;

/// An end of a treadle's way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    Heel,
    Toe,
}

impl End {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            End::Heel => "heel",
            End::Toe => "toe",
        }
    }
}

/// The input that moves a level, the steps at the two ends of the foot's way, and where the foot starts, if that is said.
///
/// It stands in the cells of tables of many thousand rows: packed into five bytes that lie anywhere.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Travel {
    /// Four times the input, and the start: 0 none, 1 heel, 2 toe.
    by: u8,
    heel: [u8; 2],
    toe: [u8; 2],
}

impl Travel {
    /// From the step with the heel down to the step with the toe down.
    pub fn new(input: u8, start: Option<End>, heel: u16, toe: u16) -> Travel {
        let start = match start {
            None => 0,
            Some(End::Heel) => 1,
            Some(End::Toe) => 2,
        };
        Travel { by: input << 2 | start, heel: heel.to_ne_bytes(), toe: toe.to_ne_bytes() }
    }

    /// The input, from 1.
    pub fn input(self) -> u8 {
        self.by >> 2
    }

    /// Where the foot starts, if that is said.
    pub fn start(self) -> Option<End> {
        match self.by & 3 {
            1 => Some(End::Heel),
            2 => Some(End::Toe),
            _ => None,
        }
    }

    /// The step at an end.
    pub fn at(self, end: End) -> u16 {
        match end {
            End::Heel => u16::from_ne_bytes(self.heel),
            End::Toe => u16::from_ne_bytes(self.toe),
        }
    }

    /// The steps with the heel down and with the toe down.
    pub fn ends(self) -> (u16, u16) {
        (self.at(End::Heel), self.at(End::Toe))
    }

    /// The lowest and the highest step.
    pub fn span(self) -> (u16, u16) {
        let (heel, toe) = self.ends();
        (heel.min(toe), heel.max(toe))
    }

    /// As the unit stores it: where the foot starts is for the player alone.
    pub fn stored(self) -> Travel {
        Travel { by: self.by & !3, ..self }
    }
}
