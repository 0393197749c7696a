//! Files about to change: shown as a diff, or each replaced whole.

use std::path::PathBuf;

use similar::TextDiff;

use super::Trouble;
use super::replace::{Change, replace};

/// A file, its text, and the text it is to have.
pub(super) struct Patch {
    /// Where it lies.
    pub path: PathBuf,
    /// The path, as the user would write it.
    pub shown: String,
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
            .header(&self.shown, &self.shown)
            .to_string()
    }
}

/// Replaces all files, or none; those that somebody changed meanwhile are none.
pub(super) fn write(patches: Vec<Patch>) -> Result<(), Trouble> {
    let change = |p: Patch| Change { path: p.path, was: Some(p.old.into_bytes()), bytes: p.new.into_bytes() };
    replace(&patches.into_iter().filter(|p| !p.idle()).map(change).collect::<Vec<_>>())
}
