//! A compiled book to bytes: one format, one file.

pub mod cell;
pub mod csv;
pub mod diagnostics;
pub mod fingerprint;
pub mod json;
pub mod model;
pub mod signal;
pub mod supply;
pub mod text;
pub mod wiring;
pub mod words;
pub mod yaml;
