//! A scene that a song in no set plays, and that stands in no slot of the switcher.
//!
//! # On stage
//! As long as no set plays the song, nothing. On the night it is asked for, there is no switch to press.
//!
//! # Way out
//! Give it a slot in `slots`, let the tool find one with `others auto`, or say that it waits:
//! `allow no-slot-yet SCENE "not rehearsed yet"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 bed }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! song "Quay" { bed }
//! song "Mole" { bed; calm }
//! set "one" { "Quay" }
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
//! slots { 1.1 bed; 2.2 calm }
//! ```

use crate::check::{Diagnostic, Facts, Severity, slotless};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(mut slotless) = slotless::scenes(facts) else { return };
    // What a set plays is an error, and told as that.
    slotless::played(facts, false).iter().for_each(|(scene, _)| slotless.remove(*scene as usize));
    for (scene, part) in slotless::played(facts, true) {
        if !slotless.contains(scene as usize) {
            continue;
        }
        slotless.remove(scene as usize);
        let (at, song) = facts.played(Some(part));
        let name = facts.scene(scene);
        let mut told = Diagnostic::new(facts.scene_at(scene), format!("`{name}` stands in no slot, and \"{song}\" plays it"))
            .other(at, "here; no set plays the song yet");
        if let Some(slots) = facts.book.show.slots_at {
            told = told.other(slots, "the slots are laid out here");
        }
        out.push(told.about(name).help(slotless::way_out(facts, scene)));
    }
}
