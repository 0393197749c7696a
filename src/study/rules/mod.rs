//! Rules: which rows break them, and what follows from the rules themselves.
//!
//! A rule is judged on a row's stored values. A free cell may still be chosen: a rule breaks only when no choice
//! keeps it. An unknown cell, or one left as it is, breaks nothing.

mod change;
pub mod logic;
mod reason;
mod rows;
mod shortest;
mod smallest;
mod world;

pub use change::Change;
pub use logic::{Ask, Logic, Node, Truth};
pub use rows::Broken;
pub use shortest::{LONGEST, Offers};

use crate::book::Book;
use crate::settle::Table;
use world::World;

/// Rules that can never all hold, by their numbers, in the order of the text.
#[derive(Clone, PartialEq, Debug)]
pub struct Clash {
    /// The rules.
    pub rules: Vec<usize>,
    /// The scene that cannot keep them all; None when no scene can.
    pub scene: Option<u32>,
}

/// A pedal that can never be engaged, and the rules against it.
#[derive(Clone, PartialEq, Debug)]
pub struct Never {
    /// The pedal.
    pub device: u16,
    /// The rules; none when the board itself forbids it.
    pub rules: Vec<usize>,
}

/// A state that no scene can reach, and the rules against it.
#[derive(Clone, PartialEq, Debug)]
pub struct Unreached {
    pub device: u16,
    pub control: u16,
    pub state: u16,
    /// The rules; none when the board itself forbids it.
    pub rules: Vec<usize>,
}

/// A rule that others imply.
#[derive(Clone, PartialEq, Debug)]
pub struct Implied {
    /// The rule.
    pub rule: usize,
    /// The others; none when it holds whatever a scene says.
    pub by: Vec<usize>,
}

/// What the rules say of a book.
#[derive(Clone, Debug, Default)]
pub struct Rules {
    /// The rules as formulas.
    pub logic: Logic,
    /// Rows that break a rule.
    pub broken: Vec<Broken>,
    /// Rules that can never all hold.
    pub clashes: Vec<Clash>,
    /// Pedals that can never be engaged.
    pub never: Vec<Never>,
    /// States that no scene can reach.
    pub unreached: Vec<Unreached>,
    /// Rules that others imply.
    pub implied: Vec<Implied>,
}

/// Studies the rules of a book.
pub fn study(book: &Book, table: &Table) -> Rules {
    let logic = Logic::of(book, &table.cells);
    let mut world = World::of(book, &logic);
    // Numbers in the order of the text, whatever the order of the files' reading.
    let mut all: Vec<usize> = (0..book.rules.len()).collect();
    all.sort_by_key(|r| book.rules.get(*r).map(|r| r.at));
    let mut questions = smallest::MOST_QUESTIONS;
    let clashes = reason::clashes(&mut world, &all, &mut questions);
    let mut out = Rules { clashes, ..Rules::default() };
    let broken = rows::broken(book, table, &logic, &mut world, &all, &out.clashes);
    out.broken = broken;
    // From what cannot be, everything follows: nothing of it is worth saying.
    if out.clashes.is_empty() && reason::possible(&mut world) {
        out.never = reason::never_engaged(&mut world, book, &all, &mut questions);
        out.unreached = reason::unreached(&mut world, book, &all, &out.never);
        out.implied = reason::implied(&mut world, &all);
    }
    out.logic = logic;
    out
}
