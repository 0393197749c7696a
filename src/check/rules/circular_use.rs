//! Files that use each other in a circle.
//!
//! # On stage
//! Nobody can tell which file is the board and which the songs, and a file given to a friend pulls in the whole
//! circle.
//!
//! # Way out
//! Take one `use` out: the musician's file uses the board, and the board uses nobody.
//!
//! # Fires
//! ```scene
//! use "songs.scene"
//! scene bed { mute }
//! #--- songs.scene
//! use "book.scene"
//! song "Quay" { bed }
//! ```
//! ```scene
//! use "book.scene"
//! scene bed { mute }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! use "board.scene"
//! use "songs.scene"
//! scene bed { mute }
//! #--- board.scene
//! guitar plank
//! #--- songs.scene
//! use "board.scene"
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::source::load::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.loading {
        let Fault::Circular { at, circle, more } = fault else { continue };
        let path = say::circle(circle.iter().map(String::as_str), *more, " uses ");
        out.push(
            Diagnostic::new(*at, format!("these files use each other in a circle: {path}"))
                .label("the circle closes here")
                .help("take one `use` of the circle out"),
        );
    }
}
