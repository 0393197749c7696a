//! Two things of one name. Pedals, amps, guitars, supplies, buffers, treadles, chains, scenes and layers share one
//! space of names; songs and sets have one each; states and controls are told apart within their owner.
//!
//! # On stage
//! A press of the switch calls one of the two, and nobody knows which.
//!
//! # Way out
//! Give one of them another name.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! scene bed { output 1 off }
//! song "Quay" { bed }
//! switcher { outputs 1 }
//! amp combo { fed by output 1 }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "QUAY" { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: closed; round: open } }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "bed" { bed }
//! set "bed" { "bed" }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;
use crate::syntax::lexer::unquoted;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::DuplicateName { at, first, .. } = fault else { continue };
        let name = unquoted(facts.text(*at));
        out.push(
            Diagnostic::new(*at, format!("the name `{name}` is taken"))
                .label("named a second time")
                .other(*first, "named here first")
                .help("give one of the two another name"),
        );
    }
}
