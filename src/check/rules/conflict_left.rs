//! A conflict that `merge` noted in the file and nobody has settled: two people wanted two things of one line.
//!
//! # On stage
//! One of the two is played, and the other believes that the board knows of the change.
//!
//! # Way out
//! Settle it with the other, keep what is right, and take the comment out.
//!
//! # Fires
//! ```scene
//! # conflict in scene `bed`: the other side says `mute`
//! scene bed
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed {
//!   # conflict in scene `bed`: the other side took out `mute`
//!   mute
//! }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! # no conflict in scene `bed`: both say so
//! scene bed { mute } # conflict in taste, not in cells
//! song "Quay" { note-worthy: bed, note "# conflict in the bridge" }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::Span;
use crate::syntax::edit::CONFLICT;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (number, file) in facts.files.iter().filter(|(_, file)| !file.shipped) {
        for (at, _) in file.text.match_indices(CONFLICT) {
            // `merge` writes it on a line of its own.
            let before = file.text.get(..at).unwrap_or("");
            if before.trim_end_matches([' ', '\t']).chars().next_back().is_some_and(|c| c != '\n') {
                continue;
            }
            let line = file.text.get(at..).and_then(|rest| rest.lines().next()).unwrap_or("").trim_end();
            let span = Span::new(number, at as u32, (at + line.len()) as u32);
            let told = Diagnostic::new(span, "a conflict of a merge is still open");
            out.push(told.help("agree on it with the other, keep what is right, and take the comment out"));
        }
    }
}
