//! Book and table to numbers: one study, one folder. Knows nothing of printing, and no study knows another.

pub mod signal;
