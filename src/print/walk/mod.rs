//! The walk through the sets: for people, and for programs.

mod doc;
mod model;

pub use doc::doc;
pub use model::{Pages, pages};

/// One JSON object.
pub fn json(pages: &Pages) -> String {
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(pages).unwrap_or_default() + "\n"
}
