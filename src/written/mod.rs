//! How what a preset holds is written in tables, and read back from them.

pub mod cell;
pub mod switch;
