//! What to do: cells to set slot by slot, what that reaches, and which presets to step through afterwards.

mod choice;
mod plan;
mod reached;
mod step_through;
mod tonight;
mod work;

use std::collections::BTreeSet;

pub use reached::Touched;
pub use step_through::StepThrough;
pub use tonight::{Step, Tonight, tonight};
pub use work::{Edit, Source, Work, WorkList, standing};

use super::options::Options;
use super::pairing::Matched;
use crate::Compiled;
use crate::book::Slot;

/// Everything to do to the unit, and what becomes of it.
pub struct Todo {
    /// What to store, slot by slot.
    pub list: WorkList,
    /// What that reaches.
    pub touched: Touched,
    /// What to step through afterwards.
    pub step_through: StepThrough,
}

/// Finds it; `loops` are those that hold another pedal.
pub fn todo(old: &Compiled, new: &Compiled, matched: &Matched, options: Options, loops: &BTreeSet<u16>) -> Todo {
    let list = plan::list(old, new, matched, options);
    let touched = reached::touched(old, new, matched, &list.work);
    let step_through = step_through::step_through(new, &list.work, loops);
    Todo { list, touched, step_through }
}

/// The slots of the new book that a unit which holds the old one has otherwise.
pub fn stale(old: &Compiled, new: &Compiled) -> BTreeSet<Slot> {
    plan::stale(old, new)
}
