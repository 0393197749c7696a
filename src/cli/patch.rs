//! Files about to change: shown as a diff, or each replaced whole.

use std::path::Path;

use similar::TextDiff;

use super::{Trouble, output};

/// A file, its text, and the text it is to have.
pub(super) struct Patch {
    /// The path, as the user would write it.
    pub path: String,
    /// What stands there.
    pub old: String,
    /// What is to stand there.
    pub new: String,
}

impl Patch {
    /// True when nothing changes.
    pub(super) fn idle(&self) -> bool {
        self.old == self.new
    }

    /// The change, line by line.
    pub(super) fn diff(&self) -> String {
        TextDiff::from_lines(self.old.as_str(), self.new.as_str())
            .unified_diff()
            .header(&self.path, &self.path)
            .to_string()
    }

    /// Replaces the file whole.
    pub(super) fn write(&self) -> Result<(), Trouble> {
        output::replace(Path::new(&self.path), self.new.as_bytes())
    }
}
