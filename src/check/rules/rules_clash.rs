//! Rules that can never all hold, whatever a scene says; or not in one scene that the book has.
//!
//! Shown is a smallest set of rules that clash: leave any one of them out and the others can be kept.
//!
//! # On stage
//! No preset can be right: each one breaks something that was agreed.
//!
//! # Way out
//! Take one of the rules out, or say for which scenes it holds.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule always ember
//! rule ember needs grit
//! rule never ember beside grit
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! rule any bed needs ember
//! rule never any bed beside ember
//! scene bed { engage ember }
//! scene dawn from bed { }
//! song "Quay" { verse: bed; end: dawn }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule ember needs grit
//! rule never grit beside remote-less
//! scene remote-less { }
//! song "Quay" { all: remote-less }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for clash in &facts.rules().clashes {
        let Some((last, before)) = clash.rules.split_last() else { continue };
        let at = facts.rule_at(*last);
        let many = clash.rules.len();
        let message = match (before.is_empty(), clash.scenes.is_empty()) {
            (true, _) => "no scene can ever keep this rule".to_owned(),
            (false, true) => format!("no scene can ever keep these {many} rules together"),
            (false, false) => {
                let scenes: Vec<&str> = clash.scenes.iter().map(|s| facts.scene(*s)).collect();
                format!("{} can never keep these {many} rules together", say::list(&scenes, "and"))
            }
        };
        let mut told = Diagnostic::new(at, message);
        if !before.is_empty() {
            told = told.label("and this one rules out the rest");
        }
        for rule in before {
            told = told.other(facts.rule_at(*rule), format!("{} is one of them", facts.rule_says(*rule)));
        }
        out.push(told.help(if before.is_empty() {
            "take it out, or ask less of it"
        } else {
            "take one of them out, or say for which scenes it holds"
        }));
    }
}
