//! A scene that a set plays, and that stands in no slot of the switcher.
//!
//! # On stage
//! There is no switch to press: the sheet has no place for it, and the part is played with the sound before it.
//!
//! # Way out
//! Give it a slot in `slots`, or let the tool find one with `others auto`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! song "Quay" { verse: bed; end: calm }
//! set "one" { "Quay" }
//! slots { 1.1 bed }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! song "Quay" { verse: bed; end: calm }
//! set "one" { "Quay" }
//! slots { every bank switch 1 bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! song "Quay" { verse: bed; end: calm }
//! set "one" { "Quay" }
//! slots { 1.1 bed; others auto }
//! ```

use crate::check::{Diagnostic, Facts, Severity, slotless};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(mut slotless) = slotless::scenes(facts) else { return };
    for (scene, part) in slotless::played(facts, false) {
        if !slotless.contains(scene as usize) {
            continue;
        }
        slotless.remove(scene as usize);
        let (at, song) = facts.played(Some(part));
        let name = facts.scene(scene);
        let mut told = Diagnostic::new(facts.scene_at(scene), format!("`{name}` is played, and stands in no slot"))
            .other(at, format!("here, in \"{song}\""));
        if let Some(slots) = facts.book.show.slots_at {
            told = told.other(slots, "the slots are laid out here");
        }
        out.push(told.about(name).help(slotless::way_out(facts, scene)));
    }
}
