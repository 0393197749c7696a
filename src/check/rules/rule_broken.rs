//! A scene that breaks one of the book's rules.
//!
//! A rule is held against every scene's finished row, inherited statements and defaults included. A cell that does
//! not matter, because its pedal is bypassed, may still be chosen: it breaks a rule only when no choice keeps it. Where
//! a foot moves a level, or the scene leaves something as it is, the rule is broken when nothing that can stand there
//! keeps it; when some of it does, `rule-at-risk` tells.
//!
//! Of more than four scenes that break the same rule one report is made, with the first of them and their number: the
//! mistake is then in the rule, or in what they share.
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
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal ember { loop 1 }
//! amp larch { control channel on remote 1 tip { clean: open; lead: closed } }
//! rule never larch.channel lead beside ember
//! scene loud { larch.channel lead }
//! scene bed { engage ember; larch.channel stays }
//! song "Quay" { verse: loud; end: bed }
//! ways as listed
//! ```
//!
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule never ember beside grit
//! scene a { engage ember, grit }
//! scene b { engage ember, grit }
//! scene c { engage ember, grit }
//! scene d { engage ember, grit }
//! scene e { engage ember, grit }
//! scene f from e
//! song "Quay" { a; b; c; d; e; f }
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

use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::rules::Broken;

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many scenes that break one rule are told each by itself.
const TOLD: usize = 4;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.claimed() {
        return;
    }
    let mut by_rules: IndexMap<&[usize], Vec<&Broken>, FxBuildHasher> = IndexMap::default();
    for broken in facts.rules().broken.iter().filter(|b| b.risk.is_none()) {
        by_rules.entry(&broken.rules).or_default().push(broken);
    }
    let (gathered, single): (Vec<_>, Vec<_>) = by_rules.into_values().partition(|all| all.len() > TOLD);
    out.extend(gathered.iter().filter_map(|all| facts.against_all(all)));
    for broken in single.into_iter().flatten() {
        let scene = facts.scene(broken.scene);
        let rules: Vec<String> = broken.rules.iter().map(|r| facts.rule_says(*r)).collect();
        let message = match rules.as_slice() {
            [rule] => format!("`{scene}` breaks the rule {rule}"),
            _ => format!("`{scene}` cannot keep these rules all at once: {}", rules.join(", ")),
        };
        out.push(facts.against(broken, message));
    }
}
