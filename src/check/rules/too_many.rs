//! More of something than the tool can count.
//!
//! # On stage
//! No board holds so many: a book like this was written by a program that ran on. Miscounted, one pedal would be taken
//! for another.
//!
//! # Way out
//! Leave out what the board does not hold, or part it into several books.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal coil { loop 1
//!   control speed on remote 1 tip momentary {
//! \{10000 s%}
//!   } starts s1
//! }
//! scene bed { engage coil; coil.speed stays }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { remote jacks 1; outputs 1 }
//! amp larch { fed by output 1
//!   control channel on remote 1 momentary {
//! \{10000 s%}
//!   } starts s1
//! }
//! scene bed { larch.channel stays }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal coil { loop 1
//!   control speed on remote 1 tip momentary {
//! \{9999 s%}
//!   } starts s1
//! }
//! scene bed { engage coil; coil.speed stays }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::TooMany { at, what, of, most } = fault else { continue };
        let of = of.as_ref().map_or(String::new(), |owner| format!(" of `{owner}`"));
        let told = Diagnostic::new(*at, format!("there are more than {most} {what}{of}"));
        out.push(told.label("this and what follows is not counted").help(format!("leave {most} at most")));
    }
}
