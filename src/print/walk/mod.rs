//! The walk through the sets: for people, for programs, and as a page with a drawn strip.

mod html;
mod json;
mod model;
mod text;

pub use html::html;
pub use json::json;
pub use model::{Pages, pages};
pub use text::text;
