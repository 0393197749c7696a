//! The walk for programs.

use super::Pages;

/// One JSON object.
pub fn json(pages: &Pages) -> String {
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(pages).unwrap_or_default() + "\n"
}
