//! A state of a control that no scene can ever reach while its pedal sounds: the rules, or the board, forbid it.
//!
//! A state that happens not to be used is no matter: only one that cannot be used is told.
//!
//! # On stage
//! A sound that the pedal has, and that was paid for, cannot be called up.
//!
//! # Way out
//! Ease one of the rules shown, or take the state out of the pedal's description.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: open; sharp: closed } }
//! rule never sift.voice sharp
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: open; sharp: closed } }
//! pedal grit { loop 2 }
//! rule sift.voice sharp needs grit
//! rule never sift beside grit
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: open; sharp: closed } }
//! scene bed { engage sift; sift.voice round }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Hint;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for unreached in &facts.rules().unreached {
        let Some(control) = facts.control(unreached.device, unreached.control) else { continue };
        let Some(state) = control.states.get(unreached.state as usize) else { continue };
        let what = format!("{}.{} {}", facts.device(unreached.device), control.name, state.name);
        // A state from a shipped description is told where the device stands in the book.
        let shipped = facts.files.get(state.at.file).is_none_or(|f| f.shipped);
        let at = if shipped { control.at } else { state.at };
        let mut told = Diagnostic::new(at, format!("no scene can ever reach `{what}`"));
        for rule in &unreached.rules {
            told = told.other(facts.rule_at(*rule), format!("{} is against it", facts.rule_says(*rule)));
        }
        out.push(told.help(match unreached.rules.len() {
            0 => "another device wants something else of the same contact",
            _ => "ease a rule, or take the setting out",
        }));
    }
}
