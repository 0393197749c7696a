//! What to do: cells to set slot by slot, what that reaches, and which presets to step through afterwards.

mod choice;
mod cover;
mod plan;
mod reached;
mod step_through;
mod work;

use std::collections::BTreeSet;

pub use reached::Touched;
pub use step_through::StepThrough;
pub use work::{Edit, Source, Work, WorkList};

use super::pairing::Matched;
use crate::Compiled;

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
pub fn todo(old: &Compiled, new: &Compiled, matched: &Matched, exact: bool, loops: &BTreeSet<u16>) -> Todo {
    let list = plan::list(old, new, matched, exact);
    let touched = reached::touched(old, new, matched, &list.work);
    let step_through = step_through::step_through(new, &list.work, loops);
    Todo { list, touched, step_through }
}
