//! A compiled book to bytes: one format, one file.

pub mod cell;
pub mod csv;
pub mod diagnostics;
pub mod diff;
pub mod doc;
pub mod free;
pub mod json;
pub mod labels;
pub mod linecheck;
pub mod midi;
pub mod model;
pub mod page;
pub mod pages;
pub mod sarif;
pub mod sheet;
pub mod signal;
pub mod slots;
pub mod stage;
pub mod supply;
pub mod text;
pub mod walk;
pub mod whereabouts;
pub mod why;
pub mod wiring;
pub mod words;
pub mod yaml;
