//! A scene that breaks one of the book's rules.
//!
//! A rule is held against every scene's finished row, inherited statements and defaults included. A cell that does
//! not matter, because its pedal is bypassed, may still be chosen: it breaks a rule only when no choice keeps it.
//!
//! # On stage
//! What was agreed never to sound together sounds together, in front of everybody.
//!
//! # Way out
//! Make the change that the message offers, in the scene or where it inherits from; or mend the rule.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule "one gain pedal at a time" at most one of ember, grit
//! scene bed { engage ember, grit }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! rule any bed needs ember
//! scene bed { engage ember }
//! scene bare from bed { bypass ember }
//! song "Quay" { verse: bed; end: bare }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule at most one of ember, grit
//! rule any bed needs ember
//! scene bed { engage ember }
//! scene bare { engage grit }
//! song "Quay" { verse: bed; end: bare }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::rules::{Broken, Change, LONGEST};

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many scenes are named; of more, only their number is told.
const MOST_NAMES: usize = 4;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    out.extend(facts.rules().broken.iter().map(|broken| tell(facts, broken)));
}

fn tell(facts: &Facts<'_>, broken: &Broken) -> Diagnostic {
    let scene = facts.scene(broken.scene);
    let rules: Vec<String> = broken.rules.iter().map(|r| facts.rule_says(*r)).collect();
    let message = match rules.as_slice() {
        [rule] => format!("`{scene}` breaks the rule {rule}"),
        _ => format!("`{scene}` cannot keep these rules all at once: {}", rules.join(", ")),
    };
    let mut told = Diagnostic::new(facts.scene_at(broken.scene), message);
    if !broken.also.is_empty() {
        told = told.label(format!("and so {} {}", if broken.also.len() == 1 { "does" } else { "do" }, also(facts, broken)));
    }
    for saying in &broken.by {
        told = told.other(facts.said_at(*saying), format!("this wants {}", facts.said(*saying)));
    }
    for rule in &broken.rules {
        told = told.other(facts.rule_at(*rule), "the rule");
    }
    let changes: Vec<String> = broken.offers.changes.iter().map(|c| change(facts, c)).collect();
    told.help(match changes.as_slice() {
        [] if broken.offers.cut => format!("no short change of `{scene}` was found that keeps it; mend the rule"),
        [] => format!("changing {LONGEST} things in `{scene}` is not enough to keep it and the other rules; mend the rule"),
        _ => format!("in `{scene}`, {}", changes.join("; or ")),
    })
}

fn change(facts: &Facts<'_>, steps: &[Change]) -> String {
    let steps: Vec<String> = steps.iter().map(|s| s.says(facts.book)).collect();
    steps.join(" and ")
}

fn also(facts: &Facts<'_>, broken: &Broken) -> String {
    let names: Vec<String> = broken.also.iter().map(|s| format!("`{}`", facts.scene(*s))).collect();
    match names.len() {
        0..=MOST_NAMES => format!("{}, built on it", names.join(", ")),
        more => format!("{more} scenes built on it"),
    }
}
