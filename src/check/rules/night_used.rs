//! A night's book that another file uses.
//!
//! # On stage
//! One night's dead pedal would be dead on every night, or two nights would change the same thing and nobody could say
//! which of them holds.
//!
//! # Way out
//! Open a night's book by its own name: `tipring check tonight.scene`. For a second night write a second file that uses the
//! same book.
//!
//! # Fires
//! ```scene
//! use "tonight.scene"
//! #--- tonight.scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! without ember
//! ```
//! ```scene
//! use "tonight.scene"
//! instead scene bed { engage ember }
//! #--- tonight.scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { mute }
//! instead scene bed from bed { engage ember }
//! ```
//!
//! # Silent
//! ```scene
//! use "base.scene"
//! without ember
//! #--- base.scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::load::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.loading {
        let Fault::Night { at, path } = fault else { continue };
        out.push(
            Diagnostic::new(*at, format!("`{path}` changes a book for one night, and no other book is built on it"))
                .label("this was not read")
                .help(format!("open it by its own name, as `tipring check {path}`; use the book that it uses")),
        );
    }
}
