//! A comparison to bytes: one format, one file.

pub mod json;
pub mod source;
pub mod text;
mod words;
