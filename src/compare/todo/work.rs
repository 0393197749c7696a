//! What there is to do to the switcher, as data.

use crate::book::Slot;
use crate::compare::stored::Wire;
use crate::settle::Value;

/// One cell to set.
#[derive(Clone, PartialEq, Debug)]
pub struct Edit {
    /// What the cell drives.
    pub wire: Wire,
    /// The cell in the new table.
    pub cell: u16,
    /// The cell in the old table and the value stored there; None when nothing known is stored.
    pub was: Option<(u16, Value)>,
    /// The value to store.
    pub now: Value,
}

/// A preset that is stored in another slot first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Source {
    /// What a slot held before: the slot, and the scene of the old book.
    Old(Slot, u32),
    /// What this list has written there: the slot, and the scene of the new book.
    New(Slot, u32),
}

/// Everything to do in one slot.
#[derive(Clone, PartialEq, Debug)]
pub struct Work {
    /// The slot.
    pub slot: Slot,
    /// The old scene stored there, a number of the old book.
    pub was: Option<u32>,
    /// The new scene to be stored there.
    pub now: u32,
    /// The preset that is stored here first; None to edit what the slot holds.
    pub from: Option<Source>,
    /// The letters that the display must show, when they must be typed.
    pub label: Option<String>,
    /// The cells to set, in board order.
    pub edits: Vec<Edit>,
}

/// The whole list.
#[derive(Clone, Debug, Default)]
pub struct WorkList {
    /// In the order in which it must be done.
    pub work: Vec<Work>,
    /// No list that writes each of these slots once, and no other, does with fewer things; None when there were too many
    /// slots to look at all pairs.
    pub fewest: Option<u32>,
}

impl WorkList {
    /// It is proved that no such list does with fewer.
    pub fn least(&self) -> bool {
        self.fewest == Some(self.count() as u32)
    }

    /// How many things there are to do.
    pub fn count(&self) -> usize {
        self.work.iter().map(Work::count).sum()
    }
}

impl Work {
    /// How many things there are to do here.
    pub fn count(&self) -> usize {
        self.edits.len() + usize::from(self.label.is_some()) + usize::from(self.from.is_some())
    }
}
