//! A pedal that no scene may ever engage: the rules, or the board itself, forbid it.
//!
//! # On stage
//! It is carried, wired, powered and tested, and can never be heard.
//!
//! # Way out
//! Ease one of the rules shown, leave the pedal at home, or say why it rides along:
//! `allow never-engaged PEDAL "a spare"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule ember needs grit
//! rule never ember beside grit
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! rule never ember
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! rule ember needs grit
//! scene bed { engage ember, grit }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for never in &facts.rules().never {
        let Some(device) = facts.book.board.devices.get(never.device) else { continue };
        // A pedal that could not be read whole, or that waits for a switcher, is told elsewhere.
        if device.faulty || facts.book.board.switcher.is_none() {
            continue;
        }
        let name = &device.name;
        let mut told = Diagnostic::new(device.at, format!("no scene may ever engage `{name}`")).about(name);
        for rule in &never.rules {
            told = told.other(facts.rule_at(*rule), format!("{} is against it", facts.rule_says(*rule)));
        }
        out.push(told.help(match never.rules.len() {
            0 => "its controls and those of other devices want different things of one contact".to_owned(),
            _ => format!("ease a rule, leave `{name}` at home, or say `allow never-engaged {name} \"why\"`"),
        }));
    }
}
