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
//! rule bed needs ember
//! rule never any bed beside ember
//! scene bed { engage ember }
//! song "Quay" { all: bed }
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

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for clash in &facts.rules().clashes {
        let Some((last, before)) = clash.rules.split_last() else { continue };
        let at = facts.rule_at(*last);
        let message = match (before.is_empty(), clash.scene) {
            (true, _) => "no scene can ever keep this rule".to_owned(),
            (false, None) => format!("no scene can ever keep these {} rules together", clash.rules.len()),
            (false, Some(scene)) => {
                format!("`{}` can never keep these {} rules together", facts.scene(scene), clash.rules.len())
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
