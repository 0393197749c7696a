//! A comparison to bytes: one format, one file; the page that text, Markdown and HTML lay out is told once.

mod feet;
mod heard;
pub mod html;
pub mod json;
pub mod markdown;
pub mod page;
pub mod paper;
pub mod source;
pub mod story;
pub mod text;
mod todo;
mod words;
