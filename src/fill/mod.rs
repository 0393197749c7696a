//! What the tool chooses where the book leaves a choice: slots for scenes without one, values for free cells.

pub mod free;
pub mod helpers;
pub mod pin;
pub mod places;
pub mod slots;

pub use places::Places;
pub use slots::{Preset, presets};
