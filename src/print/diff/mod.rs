//! A comparison as a document, and for programs.

pub mod back;
mod calls;
mod feet;
mod heard;
mod inside;
pub mod json;
mod leads;
pub mod less;
pub mod noted;
pub mod page;
mod sound;
pub mod source;
mod stated;
pub mod story;
mod todo;
pub mod tonight;
mod words;
