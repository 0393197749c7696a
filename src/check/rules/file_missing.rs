//! A file that `use` names, or that stands in the folder of the book, and that cannot be read.
//!
//! # On stage
//! Everything that the file describes is missing: names that stand there are not asked about until it is found.
//!
//! # Way out
//! Mend the path, which counts from the folder of the file that says `use`, or put the file there.
//!
//! # Fires
//! ```scene
//! use "bord.scene"
//! scene bed { mute }
//! song "Quay" { bed }
//! ```
//! ```scene
//! use "board.scene"
//! scene bed { engage ember }
//! song "Quay" { bed }
//! #--- old/board.scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! ```
//!
//! # Silent
//! ```scene
//! use "board.scene"
//! scene bed { engage ember }
//! song "Quay" { bed }
//! #--- board.scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::load::Fault;
use crate::syntax::lexer::unquoted;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.loading {
        let Fault::Missing { at, path, why } = fault else { continue };
        let used = unquoted(facts.text(*at));
        if used.is_empty() && at.start == at.end {
            let name = path.rsplit('/').next().unwrap_or(path);
            let told = Diagnostic::new(*at, format!("the file `{name}` cannot be read: {why}"));
            out.push(told.help("mend it, or take it out of the folder of the book"));
            continue;
        }
        let told = Diagnostic::new(*at, format!("the file `{used}` cannot be read: {why}"));
        out.push(told.help(format!("it was looked for at `{path}`; mend the path, or put the file there")));
    }
}
