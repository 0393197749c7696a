//! The walk through the sets: for people, and for programs.

mod doc;
mod model;
mod turns;

pub use doc::{doc, straight};
pub use model::{Between, Pages, between, pages};

/// One JSON object: [`Pages`] or [`Between`].
pub fn json(pages: &impl serde::Serialize) -> String {
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(pages).unwrap_or_default() + "\n"
}
