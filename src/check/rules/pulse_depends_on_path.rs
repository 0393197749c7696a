//! A preset that needs a pulse on one way in, and none on another.
//!
//! The ways in are power-up and the preset that the unit wakes on, the first part of each set, any part of a song to any
//! other, and the last part to the next song's first; `ways any` and `ways as listed` change that. Each device is told, and
//! allowed, for itself: `allow pulse-depends-on-path larch "I watch the lamp"`.
//!
//! # On stage
//! A momentary contact does not say which state it wants, it says "the next one". Come from the other song and the
//! same switch leaves the amplifier on the wrong channel.
//!
//! # Way out
//! A preset for each way in, as offered; a way in that always passes one neutral scene; or a latching input.
//!
//! # Fires
//! ```scene
//! switcher { remote jacks 1; repress ignored }
//! amp larch { control channel on remote 1 tip momentary { clean; lead } starts clean }
//! scene bed { larch.channel clean }
//! scene solo { larch.channel lead }
//! scene cry { larch.channel lead }
//! song "Quay" { verse: bed; end: solo }
//! song "Mole" { start: cry; end: bed }
//! set "one" { "Quay"; "Mole" }
//! ways as listed
//! song "Kiln" { bed; cry }
//! ```
//! ```scene
//! switcher { remote jacks 1; repress ignored }
//! amp larch { control channel on remote 1 tip momentary { clean; lead } starts clean }
//! scene bed { larch.channel clean }
//! scene solo { larch.channel lead }
//! scene cry { larch.channel lead }
//! song "Quay" { bed; solo; cry }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1; repress ignored }
//! pedal ember { loop 1; control way on remote 1 tip momentary { low; mid; high } starts low }
//! scene hush {}
//! scene bed { engage ember; ember.way low }
//! scene cry { engage ember; ember.way high }
//! song "Quay" { bed; hush; cry; last: bed }
//! song "Mole" { start: hush; end: bed }
//! set "one" { "Quay"; "Mole" }
//! ways as listed
//! ```
//!
//! # Silent
//! ```scene
//! switcher { remote jacks 1; repress ignored }
//! amp larch { control channel on remote 1 tip momentary { clean; lead } starts clean }
//! scene bed { larch.channel clean }
//! scene solo { larch.channel lead }
//! song "Quay" { verse: solo; end: bed }
//! ways as listed
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::study::momentary::{Finding, Need, offer};

pub(super) const SEVERITY: Severity = Severity::Warning;

/// An offer is only made after the whole study, run again, finds it right: not in a huge book, nor many times.
const MOST_SCENES: usize = 2_000;
const MOST_OFFERS: usize = 20;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let momentary = facts.momentary;
    let from = out.len();
    let mut offered = None;
    for finding in &momentary.findings {
        let Finding::Depends { scene, button, pulse, stays } = finding else { continue };
        let (name, what) = (facts.scene(*scene), facts.momentary_controls(*button));
        let mut told = Diagnostic::new(
            facts.scene_at(*scene),
            format!("`{name}` needs a pulse for {what} on one way in, and none on another"),
        );
        let stored = momentary.stored.get(scene.index()).and_then(|s| s.get(*button));
        told = told.label(match stored {
            Some(Need::Pulse) => "it stores a pulse",
            _ => "it stores none",
        });
        for (arrival, need) in [(*pulse, "a pulse"), (*stays, "none")] {
            let (at, path) = facts.path(arrival, *button);
            told = told.other(at, format!("{path}: {need}"));
        }
        told = facts.about_device(told, *scene, *button);
        let found = momentary.splits.binary_search_by_key(scene, |s| s.scene);
        let split = found.ok().and_then(|i| momentary.splits.get(i));
        let split = split.filter(|_| momentary.can_be_served(*scene));
        told = told.help(match split.map(|s| s.presets.len()) {
            Some(count) => format!("{count} presets of `{name}` serve every way, each pressed from where it fits; a latching input needs none of this"),
            None => format!("a latching input needs none of this; presets alone cannot serve every way into `{name}`"),
        });
        // One offer a scene: it mends every device at once.
        let Some(split) = split.filter(|_| offered != Some(*scene)) else {
            out.push(told);
            continue;
        };
        offered = Some(*scene);
        let small = facts.book.show.scenes.len() <= MOST_SCENES && out.len() < from + MOST_OFFERS;
        if !small {
            out.push(told);
            continue;
        }
        if let Some(offer) = offer::offer(facts.book, facts.files, facts.mentions(), momentary, split) {
            let names = crate::check::say::list(&offer.names, "and");
            told.fix = Some(crate::check::Fix { says: format!("add {names}, and play them where they fit"), how: How::Offer, edits: offer.edits });
        }
        out.push(told);
    }
}
