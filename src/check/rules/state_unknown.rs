//! A state that a control does not have.
//!
//! # On stage
//! The pedal stays in whatever voice the last preset left it.
//!
//! # Way out
//! Say one of the states that the control lists, or add the state where the pedal is described.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: closed; sharp: open } }
//! scene bed { engage sift; sift.voice rond }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: closed; sharp: open } }
//! scene bed { engage sift; sift.voice 20 % }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth full }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: closed; sharp: open } }
//! scene bed { engage sift; sift.voice round }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::StateUnknown { at, control, level, near, has, there } = fault else { continue };
        let state = facts.text(*at);
        let told = if *level {
            Diagnostic::new(*at, format!("`{control}` is a level, and `{state}` is no value of it"))
        } else {
            Diagnostic::new(*at, format!("`{control}` has no setting `{state}`"))
        };
        let told = told.other(*there, format!("`{control}` is described here"));
        out.push(match (near, &has[..]) {
            (Some(near), _) => told.help(format!("did you mean `{near}`?")).fix(How::Name, format!("say `{near}`"), *at, near),
            (None, [from, to]) if *level => told.help(format!("decide on a value from {from} to {to}")),
            (None, []) => told.help(format!("list its settings where `{control}` is described")),
            (None, has) => told.help(format!("its settings are {}", say::some(has, "and"))),
        });
    }
}
