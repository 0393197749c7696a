//! A compiled book to bytes: one format, one file.

pub mod cell;
pub mod csv;
pub mod diagnostics;
pub mod page;
pub mod sheet;
