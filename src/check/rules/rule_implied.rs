//! A rule that says nothing new: the other rules, or the board, see to it already.
//!
//! # On stage
//! Nothing is heard of it. But whoever changes one of the rules later will think that this one is another matter.
//!
//! # Way out
//! Take it out, or keep it for its words.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule at most one of ember, grit
//! rule never ember beside grit
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! rule throb needs throb.depth at least 0 %
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule at most one of ember, grit
//! rule always ember or grit
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Hint;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for implied in &facts.rules().implied {
        let message = if implied.by.is_empty() {
            "this rule holds whatever a scene says"
        } else {
            "this rule says nothing that the others do not say already"
        };
        let mut told = Diagnostic::new(facts.rule_at(implied.rule), message);
        for rule in &implied.by {
            told = told.other(facts.rule_at(*rule), "it follows from this");
        }
        out.push(told.help("take it out, or keep it for its words"));
    }
}
