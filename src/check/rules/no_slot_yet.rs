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
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! scene rush { }
//! song "Quay" { verse: bed; end: calm }
//! song "Mole" { rush }
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

use crate::ids::SceneId;
use crate::check::{Diagnostic, Facts, Severity, slotless};

pub(super) const SEVERITY: Severity = Severity::Warning;

const CODE: &str = "no-slot-yet";

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(mut slotless) = slotless::scenes(facts) else { return };
    // What a set plays is an error, and told as that.
    slotless::played(facts, false).iter().for_each(|(scene, _)| slotless.remove(scene.index()));
    let mut found = slotless::played(facts, true);
    found.retain(|(scene, _)| {
        let left_out = slotless.contains(scene.index());
        slotless.remove(scene.index());
        left_out
    });
    // What is allowed is allowed by name.
    let allowed = |scene: SceneId| {
        let mut of_code = facts.book.allows.iter().filter(|a| a.code == CODE);
        of_code.any(|a| a.names.iter().any(|name| **name == *facts.scene(scene)))
    };
    let (mut single, open): (Vec<_>, Vec<_>) = found.into_iter().partition(|(scene, _)| allowed(*scene));
    if open.len() > 1 {
        out.extend(slotless::told(facts, &open, "are played by songs that are in no set, and stand on no switch"));
    } else {
        single.extend(open);
    }
    for (scene, part) in single {
        let (at, song) = facts.played(Some(part));
        let name = facts.scene(scene);
        let mut told = Diagnostic::new(facts.scene_at(scene), format!("`{name}` stands on no switch, and \"{song}\" plays it"))
            .other(at, "here; no set plays the song yet");
        if let Some(slots) = facts.book.show.slots_at {
            told = told.other(slots, "the switches are laid out here");
        }
        out.push(slotless::way_out(facts, told.about(name), scene));
    }
}
