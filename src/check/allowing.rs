//! Warnings met on purpose: which `allow` speaks of which warning.

use super::{Diagnostic, Facts, RULES, Severity};
use crate::book::{Allow, nfc};
use crate::source::Span;

/// A warning that the book allows, kept for the sheets.
#[derive(Clone, PartialEq, Debug)]
pub struct Allowed {
    /// The warning.
    pub diagnostic: Diagnostic,
    /// Why it is met on purpose.
    pub reason: String,
    /// Where that is said.
    pub at: Span,
}

/// The warning that a misspelt code was meant to be.
pub fn nearest(code: &str) -> Option<&'static str> {
    let warnings = RULES.iter().filter(|r| r.severity == Severity::Warning).map(|r| r.code);
    crate::near::nearest(code, warnings)
}

/// True when an `allow` speaks of this diagnostic: a warning of its code, about its names.
pub fn meets(facts: &Facts<'_>, allow: &Allow, diagnostic: &Diagnostic) -> bool {
    let speaks = |code: &str| code == diagnostic.code;
    // A misspelt code is told once, and not a second time by the warning it was meant for.
    let meant = speaks(&allow.code) || (super::rule(&allow.code).is_none() && nearest(&allow.code).is_some_and(speaks));
    if diagnostic.severity != Severity::Warning || !meant {
        return false;
    }
    match allow.names.as_slice() {
        [] => true,
        [name] => about(facts, diagnostic).iter().any(|about| about == name),
        names => diagnostic.about == names,
    }
}

/// What a diagnostic is about: what its rule says, else the name underlined, and whose statement it stands in.
fn about(facts: &Facts<'_>, diagnostic: &Diagnostic) -> Vec<String> {
    if !diagnostic.about.is_empty() {
        return diagnostic.about.clone();
    }
    let here = [Some(facts.text(diagnostic.at)), facts.owner(diagnostic.at)];
    here.into_iter().flatten().map(|name| nfc(name).into_owned()).collect()
}

/// Takes the allowed warnings out of `found`.
pub fn take(facts: &Facts<'_>, found: &mut Vec<Diagnostic>) -> Vec<Allowed> {
    let mut allowed = Vec::new();
    if facts.book.allows.is_empty() {
        return allowed;
    }
    found.retain(|diagnostic| {
        let Some(allow) = facts.book.allows.iter().find(|a| meets(facts, a, diagnostic)) else { return true };
        let (reason, at) = (allow.reason.clone(), allow.at);
        allowed.push(Allowed { diagnostic: diagnostic.clone(), reason, at });
        false
    });
    allowed
}
