//! The table as YAML: the same data as JSON.

use super::model::{Shape, whole};
use crate::Compiled;

/// The whole table as one YAML document.
pub fn table(compiled: &Compiled, shape: Shape) -> String {
    // Only a map with a key that is no text could fail, and there is none.
    serde_yaml::to_string(&whole(compiled, shape)).unwrap_or_default()
}
