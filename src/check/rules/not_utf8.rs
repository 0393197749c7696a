//! A file whose bytes are not UTF-8, as an old editor or a word processor saves them.
//!
//! # On stage
//! Names with accents are damaged and would be printed wrongly on the sheet; nothing else is told of the file until
//! it is saved anew.
//!
//! # Way out
//! Open the file in an editor and save it as UTF-8.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song "Caf\xE9 du Port" { bed }
//! ```
//! ```scene
//! # die Wei\xE9e Bucht
//! scene bed { mute }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Café du Port" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::fault::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.reading {
        if let Fault::NotUtf8 { at } = fault {
            let (path, line) = (facts.files.path(*at), facts.files.place(*at).line);
            out.push(
                Diagnostic::new(*at, format!("`{path}` holds letters that cannot be read, the first in line {line}"))
                    .label("this letter cannot be read")
                    .help("open the file in an editor and save it in the encoding `UTF-8`"),
            );
        }
    }
}
