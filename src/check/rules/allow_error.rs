//! An `allow` for something that cannot be allowed: an error, or a code that the tool does not have.
//!
//! # On stage
//! An error means that what is stored is not known to be right. No reason makes it so.
//!
//! # Way out
//! Mend what the error tells, and take the `allow` out; or mend the code's spelling. `tipring explain` lists all codes.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song "Quay" { all: bed }
//! allow unknown-name bed "they know which one"
//! ```
//! ```scene
//! scene bed { mute }
//! scene spare { mute }
//! song "Quay" { all: bed }
//! allow scene-unsed spare "for the encore"
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! scene spare { mute }
//! song "Quay" { all: bed }
//! allow scene-unused spare "for the encore"
//! ```

use crate::check::{Diagnostic, Facts, How, Severity, allowing};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for allow in &facts.book.allows {
        let (code, at) = (&allow.code, allow.code_at);
        match crate::check::rule(code).map(|r| r.severity) {
            Some(Severity::Error) => out.push(
                Diagnostic::new(at, format!("`{code}` is an error, and an error cannot be allowed"))
                    .help("mend what it tells, and take this out"),
            ),
            Some(_) => {}
            None => {
                let told = Diagnostic::new(at, format!("there is no warning called `{code}`"));
                out.push(match allowing::nearest(code) {
                    Some(near) => told.help(format!("did you mean `{near}`?")).fix(How::Word, format!("say `{near}`"), at, near),
                    None => told.help("`tipring explain` lists all codes"),
                });
            }
        }
    }
}
