//! The slot that is always right to press holds nothing that the book pins there.
//!
//! # On stage
//! In the moment when everything else went wrong, the switch sends nothing, or whatever came to lie there.
//!
//! # Way out
//! Pin a scene to it in `slots`, or name a slot that holds one.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 bed; 1.2 calm }
//! safe 2.1
//! ```
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 bed; others auto }
//! safe 1.2
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { every bank switch 2 calm; others auto }
//! safe 2.2
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::SafeUnsettled { at, slot } = fault else { continue };
        let told = Diagnostic::new(*at, format!("switch {slot} is the safe one, and no scene is pinned to it"))
            .label("always right to press, says the book");
        let told = match facts.book.show.slots_at {
            Some(slots) => told.other(slots, "the switches are laid out here"),
            None => told,
        };
        out.push(told.help(format!("pin the scene that is always right, as `{slot} NAME` in `slots`")));
    }
}
