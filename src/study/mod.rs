//! Book and table to numbers and findings: one study, one file or folder. No study knows another.

pub mod rules;
