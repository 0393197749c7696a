//! A word of the language taken as a name.
//!
//! # On stage
//! A line that begins with it would mean two things, and the one not meant would be stored.
//!
//! # Way out
//! Take another name, such as the one of the help.
//!
//! # Fires
//! ```scene
//! guitar mute
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal foot { loop 1 }
//! ```
//!
//! # Silent
//! ```scene
//! scene end { mute }
//! song "mute" { end }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::NameReserved { at } = fault else { continue };
        let name = facts.text(*at);
        out.push(
            Diagnostic::new(*at, format!("`{name}` is a word of the language, and cannot be a name"))
                .way("", format!("call it something else, as `{name}-1`"), Some(vec![(*at, format!("{name}-1"))]))
                .help("call it something else, in a name that nothing has"),
        );
    }
}
