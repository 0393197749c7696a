//! What there is to do to the switcher, as data.

use rustc_hash::FxHashMap;

use crate::book::Slot;
use crate::compare::stored::Wire;
use crate::ids::{ColumnId, SceneId};
use crate::settle::Value;

/// One cell to set.
#[derive(Clone, PartialEq, Debug)]
pub struct Edit {
    /// What the cell drives.
    pub wire: Wire,
    /// The cell in the new table.
    pub cell: ColumnId,
    /// The cell in the old table and the value stored there; None when nothing known is stored.
    pub was: Option<(ColumnId, Value)>,
    /// The value to store.
    pub now: Value,
}

/// A preset that is stored in another slot first.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Source {
    /// What a slot held before: the slot, and the scene of the old book.
    Old(Slot, SceneId),
    /// What this list has written there: the slot, and the scene of the new book.
    New(Slot, SceneId),
}

impl Source {
    /// The slot that is read.
    pub fn slot(self) -> Slot {
        let (Source::Old(slot, _) | Source::New(slot, _)) = self;
        slot
    }
}

/// Everything to do in one slot.
#[derive(Clone, PartialEq, Debug)]
pub struct Work {
    /// The slot.
    pub slot: Slot,
    /// The old scene stored there, a number of the old book.
    pub was: Option<SceneId>,
    /// The new scene to be stored there.
    pub now: SceneId,
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
    /// Slots of two rows, from and to which nothing is stored.
    pub barred: usize,
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

/// For each slot the old scene whose preset stands there once work is done in order, with what no column of the new board
/// writes over; `holds` is what stood there.
pub fn standing<'w>(
    holds: impl IntoIterator<Item = (Slot, SceneId)>,
    work: impl IntoIterator<Item = &'w Work>,
) -> FxHashMap<Slot, SceneId> {
    let mut out: FxHashMap<Slot, SceneId> = holds.into_iter().collect();
    for work in work {
        let scene = match work.from {
            Some(Source::Old(_, scene)) => Some(scene),
            Some(Source::New(slot, _)) => out.get(&slot).copied(),
            None => continue,
        };
        match scene {
            Some(scene) => drop(out.insert(work.slot, scene)),
            None => drop(out.remove(&work.slot)),
        }
    }
    out
}
