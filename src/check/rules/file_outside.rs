//! A file that `use` names, or that a link in the folder of the book leads to, and that lies outside that folder.
//!
//! # On stage
//! A book that reaches outside its folder breaks the day the folder is copied to another machine, and a book from a
//! stranger could read what is none of its business.
//!
//! # Way out
//! Put the file into the folder of the book, or open the book with `--outside` when you know what it reads.
//!
//! # Fires
//! ```scene
//! use "../board.scene"
//! scene bed { mute }
//! song "Quay" { bed }
//! ```
//! ```scene
//! use "/board.scene"
//! scene bed { mute }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! use "parts/../board.scene"
//! scene bed { mute }
//! song "Quay" { bed }
//! #--- board.scene
//! guitar plank
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::load::Fault;
use crate::syntax::lexer::unquoted;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.loading {
        let Fault::Outside { at } = fault else { continue };
        let path = facts.files.path(*at);
        let link = at.start == at.end;
        let used = if link { path.rsplit('/').next().unwrap_or(path) } else { unquoted(facts.text(*at)) };
        out.push(
            Diagnostic::new(*at, format!("the file `{used}` lies outside the folder of the book"))
                .label("this was not read")
                .help("put the file into the folder of the book, or open the book with `--outside`"),
        );
    }
}
