//! Book and table to numbers and findings: one study, one file or folder. No study knows another, but they share the
//! route of the leads, and the order of plugging is that of the leads; what if a part dies asks for the leads and the outlets.

pub mod assign;
pub mod budget;
pub mod buildcheck;
pub mod calls;
pub mod cover;
pub mod grounds;
pub mod inside;
pub mod length;
pub mod linecheck;
pub mod loose;
pub mod messages;
pub mod momentary;
pub mod pressed;
pub mod route;
pub mod rules;
pub mod signal;
pub mod slots;
pub mod supply;
pub mod tempo;
pub mod walk;
pub mod ways;
pub mod wiring;
pub mod without;

pub use momentary::Momentary;
pub use walk::Walk;
