//! What the tool chooses where the book leaves a choice: slots for scenes without one.

pub mod slots;

pub use slots::{Preset, presets};
