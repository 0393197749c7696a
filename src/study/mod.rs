//! Book and table to numbers: one study, one file or folder. Knows nothing of printing, nor of other studies.

pub mod messages;
pub mod momentary;
pub mod walk;
pub mod ways;

pub use momentary::Momentary;
pub use walk::Walk;
