//! Rules: which rows break them, and what follows from the rules themselves.
//!
//! A rule is judged on a row's stored values. A free cell may still be chosen: a rule breaks only when no choice
//! keeps it. An unknown cell breaks nothing. Where a foot moves a level, or a cell is left as it is, the rule is held
//! against every value that can stand there: broken when none keeps it, at risk when some do.

mod bound;
mod change;
mod encoding;
mod foot;
mod left;
pub mod logic;
mod meter;
mod reason;
mod roam;
mod rows;
mod shortest;
mod smallest;

pub use bound::{Bound, bound};
pub use change::Change;
pub use logic::{Ask, Logic, Node, Truth};
pub use roam::{Stand, Stands};
pub use rows::Broken;
pub use shortest::{LONGEST, Offers};

use crate::book::Book;
use crate::fill::Preset;
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::Table;
use crate::study::budget;
use encoding::Encoding;
use left::Left;
use roam::Roam;
use smallest::Purse;

/// Rules that can never all hold, by their numbers, in the order of the text.
#[derive(Clone, PartialEq, Debug)]
pub struct Clash {
    /// The rules.
    pub rules: Vec<usize>,
    /// The scenes that cannot keep them all, by name; none when no scene whatever can.
    pub scenes: Vec<SceneId>,
}

/// A pedal that can never be engaged, and the rules against it.
#[derive(Clone, PartialEq, Debug)]
pub struct Never {
    /// The pedal.
    pub device: DeviceId,
    /// The rules; none when the board itself forbids it.
    pub rules: Vec<usize>,
}

/// A state that no scene can reach, and the rules against it.
#[derive(Clone, PartialEq, Debug)]
pub struct Unreached {
    pub device: DeviceId,
    pub control: ControlId,
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

/// A question over the rules that was not answered with the steps there are.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Open {
    /// Can all rules be kept together?
    Together,
    /// Can all be kept in this scene, and in those that the rules do not tell from it?
    InScene(SceneId),
    /// Can this row keep all rules by some choice of its free cells?
    Row(SceneId),
    /// Can this pedal be engaged?
    Engaged(DeviceId),
    /// Can each state of this control be reached?
    State(DeviceId, ControlId),
    /// Do the others say what this rule says?
    Implied(usize),
    /// Are the sets of rules that are shown the smallest?
    Smallest,
}

/// What the rules say of a book.
#[derive(Clone, Debug, Default)]
pub struct Rules {
    /// The rules as formulas.
    pub logic: Logic,
    /// Rows that break a rule, or may.
    pub broken: Vec<Broken>,
    /// Rules that can never all hold.
    pub clashes: Vec<Clash>,
    /// Pedals that can never be engaged.
    pub never: Vec<Never>,
    /// States that no scene can reach.
    pub unreached: Vec<Unreached>,
    /// Rules that others imply.
    pub implied: Vec<Implied>,
    /// What was not answered.
    pub open: Vec<Open>,
    /// Steps that the solver took.
    pub steps: u64,
}

/// Studies the rules of a book.
pub fn study(book: &Book, table: &Table, presets: &[Preset]) -> Rules {
    let logic = Logic::of(book, &table.cells);
    let mut encoding = Encoding::of(book, &logic);
    // Numbers in the order of the text, whatever the order of the files' reading.
    let mut all: Vec<usize> = (0..book.board.rules.len()).collect();
    all.sort_by_key(|r| book.board.rules.get(*r).map(|r| r.at));
    let (mut purse, mut open) = (Purse::default(), Vec::new());
    encoding.grant(budget::QUESTIONS);
    let clashes = reason::clashes(&mut encoding, &all, &mut purse, &mut open);
    let together = open.is_empty();
    let mut out = Rules { clashes, ..Rules::default() };
    encoding.grant(budget::QUESTIONS);
    let left = Left::of(book, table, presets, &logic);
    let roam = Roam { book, table, logic: &logic, left: &left };
    let broken = rows::broken(roam, &mut encoding, &all, &out.clashes, &mut open);
    out.broken = broken;
    encoding.grant(budget::QUESTIONS);
    // From what cannot be, everything follows: nothing of it is worth saying. Nor of what may be so.
    if together && out.clashes.is_empty() && reason::possible(&mut encoding) {
        out.never = reason::never_engaged(&mut encoding, book, &table.cells, &all, &mut purse, &mut open);
        encoding.grant(budget::QUESTIONS);
        out.unreached = reason::unreached(&mut encoding, book, &table.cells, &all, &out.never, &mut open);
        encoding.grant(budget::QUESTIONS);
        out.implied = reason::implied(&mut encoding, &all, &mut open);
    }
    if purse.rough {
        open.push(Open::Smallest);
    }
    (out.open, out.steps, out.logic) = (open, encoding.spent(), logic);
    out
}
