//! What changes of blocks cost, and what scenes stand on.

use std::ops::Add;

use super::model::Stmt;

/// What a change costs; the first that differs decides.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Debug)]
pub(super) struct Cost {
    /// Statements touched.
    pub touched: u32,
    /// Of these, outside the scenes that something is wanted of.
    pub outside: u32,
    /// Statements more than there were.
    pub more: i32,
    /// How far from the way it is said now.
    pub style: u32,
}

impl Add for Cost {
    type Output = Cost;

    fn add(self, other: Cost) -> Cost {
        Cost {
            touched: self.touched.saturating_add(other.touched),
            outside: self.outside + other.outside,
            more: self.more + other.more,
            style: self.style + other.style,
        }
    }
}

/// What happens in one block: statements by their place that go, and units that come.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub(super) struct Turn {
    pub out: Vec<usize>,
    pub put: Vec<u32>,
}

impl Turn {
    pub(super) fn cost(&self, outside: bool) -> Cost {
        let touched = self.out.len().max(self.put.len()) as u32;
        let more = self.put.len() as i32 - self.out.len() as i32;
        Cost { touched, outside: if outside { touched } else { 0 }, more, style: 0 }
    }
}

/// The layers and the default that scenes stand on.
#[derive(Clone)]
pub(super) struct Ground {
    pub layers: Vec<Vec<Stmt>>,
    pub default: Vec<Stmt>,
    /// They are not those of the book.
    pub changed: bool,
}
