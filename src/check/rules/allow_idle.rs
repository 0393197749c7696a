//! An `allow` that allows nothing: the warning it was written for is gone, or was never one.
//!
//! # On stage
//! Nothing now. But the day the warning comes back, for another reason, nobody will see it.
//!
//! # Way out
//! Take it out; say it again with its reason when the warning comes back and is still meant.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song "Quay" { all: bed }
//! allow scene-unused bed "for the encore"
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { all: bed }
//! allow allow-idle bed "no matter"
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

pub(super) const SEVERITY: Severity = Severity::Hint;

/// Looks at what all other rules found, so it runs last.
pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.book.broken {
        return;
    }
    let mut idle = Vec::new();
    for allow in facts.book.allows.iter().filter(|a| !a.faulty) {
        let known = crate::check::rule(&allow.code).filter(|r| r.severity != Severity::Error);
        let Some(rule) = known else { continue };
        if out.iter().any(|d| allowing::meets(facts, allow, d)) {
            continue;
        }
        let code = &allow.code;
        let told = if rule.severity == Severity::Warning {
            Diagnostic::new(allow.at, format!("there is no `{code}` left to allow here"))
        } else {
            let word = rule.severity.word();
            Diagnostic::new(allow.at, format!("`{code}` is a {word}: only warnings need to be allowed"))
        };
        let other = out.iter().find(|d| d.code == allow.code && !d.about.is_empty() && !allow.names.is_empty());
        let told = match other {
            Some(other) => {
                let names = other.about.join(" to ");
                told.help(format!("take it out, or name what is told: `allow {code} {names} \"why\"`, say"))
            }
            None => told.help("take it out"),
        };
        idle.push(told.fix(How::Offer, "take it out", allow.at, ""));
    }
    out.append(&mut idle);
}
