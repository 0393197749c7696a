//! What to do: cells to set slot by slot, what that reaches, and which presets to step through afterwards.

mod choice;
mod inside;
mod plan;
mod reached;
mod step_through;
mod tonight;
mod work;

use std::collections::BTreeSet;

pub use inside::{Beneath, Switched};
pub use reached::Touched;
pub use step_through::StepThrough;
pub use tonight::{Step, Tonight, tonight};
pub use work::{Edit, Source, Work, WorkList, standing};

use super::beside::Known;
use super::options::Options;
use super::pairing::Matched;
use crate::Compiled;
use crate::book::Slot;

/// Everything to do to the unit, and what becomes of it.
pub struct Todo {
    /// What to store, slot by slot.
    pub list: WorkList,
    /// Switches inside presets to set anew.
    pub switched: Vec<Switched>,
    /// What all that reaches.
    pub touched: Touched,
    /// What to step through afterwards.
    pub step_through: StepThrough,
}

/// Finds it; `loops` are those that hold another pedal.
pub fn todo(
    (old, known): (&Compiled, &Known),
    new: &Compiled,
    matched: &Matched,
    options: Options,
    loops: &BTreeSet<u16>,
) -> Todo {
    let list = plan::list(old, new, matched, options);
    let switched = inside::differences(known, new, &list.work);
    let worked = list.work.iter().map(|w| (w.now, w.slot)).chain(switched.iter().map(|s| (s.scene, s.slot)));
    let touched = reached::touched(old, new, matched, worked);
    let step_through = step_through::step_through(new, &list.work, loops);
    Todo { list, switched, touched, step_through }
}

/// What must be set beside the cells where nothing is stored from one slot in another.
pub fn beneath(known: &Known, new: &Compiled) -> Vec<Switched> {
    inside::differences(known, new, &[])
}

/// The slots of the new book that a unit which holds the old one has otherwise.
pub fn stale(old: &Compiled, new: &Compiled, known: &Known) -> BTreeSet<Slot> {
    let mut out = plan::stale(old, new);
    out.extend(inside::differences(known, new, &[]).iter().map(|s| s.slot));
    out
}
