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
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! scene rush { }
//! song "Quay" { verse: bed; end: calm }
//! song "Mole" { rush }
//! set "one" { "Quay"; "Mole" }
//! slots { 1.1 bed }
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
    let mut found = slotless::played(facts, false);
    found.retain(|(scene, _)| {
        let left_out = slotless.contains(scene.index());
        slotless.remove(scene.index());
        left_out
    });
    let Some((scene, part)) = found.first().copied() else { return };
    let (name, (at, song)) = (facts.scene(scene), facts.played(Some(part)));
    let slots = facts.book.show.slots_at;
    if found.len() == 1 {
        let mut told = Diagnostic::new(facts.scene_at(scene), format!("`{name}` is played, and stands on no switch"));
        told = told.other(at, format!("here, in \"{song}\""));
        if let Some(slots) = slots {
            told = told.other(slots, "the switches are laid out here");
        }
        out.push(slotless::way_out(facts, told.about(name), scene));
        return;
    }
    out.extend(slotless::told(facts, &found, "are played, and stand on no switch"));
}
