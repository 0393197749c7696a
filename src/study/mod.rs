//! Book and table to numbers and findings: one study, one file or folder. No study knows another.

pub mod messages;
pub mod momentary;
pub mod rules;
pub mod signal;
pub mod walk;
pub mod ways;

pub use momentary::Momentary;
pub use walk::Walk;
