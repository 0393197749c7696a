//! A comparison as a document, and for programs.

mod feet;
mod heard;
pub mod json;
pub mod page;
pub mod source;
pub mod story;
mod todo;
mod words;
