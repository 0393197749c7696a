//! A control or level that a pedal does not have.
//!
//! # On stage
//! Nothing is set: the knob stays where the last song left it.
//!
//! # Way out
//! Mend the spelling, or describe the control where the pedal is described.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 20 %; throb.depht 20 % }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember; ember.tone bright }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 20 % }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::ControlUnknown { at, device, near, has, there } = fault else { continue };
        let name = facts.text(*at);
        let told = Diagnostic::new(*at, format!("`{device}` has nothing to set called `{name}`"))
            .other(*there, format!("`{device}` is described here"));
        out.push(match (near, &has[..]) {
            (Some(near), _) => told.help(format!("did you mean `{near}`?")).fix(How::Name, format!("say `{near}`"), *at, near),
            (None, []) => told.help(format!("a preset moves nothing of `{device}` yet: decide what moves it, and say so in its description")),
            (None, has) => told.help(format!("it has {}", say::some(has, "and"))),
        });
    }
}
