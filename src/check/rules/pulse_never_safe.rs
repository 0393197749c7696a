//! A preset whose pulse cannot be right on every way in, however many presets each scene has, those that bypass the device
//! too: which of them pulses may hang on the way in, as everywhere.
//!
//! Power-up and the preset that the unit wakes on are ways in like any other. Each device is told, and allowed, for itself:
//! `allow pulse-never-safe larch "I set it by hand"`.
//!
//! # On stage
//! The same switch pressed twice flips the channel back; a device that nobody knows the state of may be flipped the
//! wrong way by the first preset of the night; a control of three states is two presses away.
//!
//! # Way out
//! `repress ignored`, if the switcher ignores the same switch pressed again; `starts NAME`, if the device always wakes
//! in one state; a latching input; or a scene on the way that brings the device where the next press is right.
//!
//! # Fires
//! ```scene
//! switcher { remote jacks 1; repress repeats }
//! amp larch { control channel on remote 1 tip momentary { clean; lead } starts clean }
//! scene solo { larch.channel lead }
//! song "Quay" { solo }
//! ```
//! ```scene
//! switcher { remote jacks 1; repress ignored }
//! amp larch { control channel on remote 1 tip momentary { clean; lead } }
//! scene bed { larch.channel clean }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { remote jacks 1; repress ignored }
//! amp larch { control channel on remote 1 tip momentary { clean; crunch; lead } starts clean }
//! scene solo { larch.channel lead }
//! song "Quay" { solo }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { remote jacks 1; repress ignored }
//! amp larch { control channel on remote 1 tip momentary { clean; lead } starts clean }
//! scene solo { larch.channel lead }
//! song "Quay" { solo }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::kind::Kind;
use crate::book::Repress;
use crate::study::momentary::{Finding, Why};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for finding in &facts.momentary.findings {
        let (scene, button, arrival) = match finding {
            Finding::Never { scene, button, arrival, .. } | Finding::Repress { scene, button, arrival } => {
                (*scene, *button, *arrival)
            }
            Finding::Depends { .. } => continue,
        };
        let (name, what) = (facts.scene(scene), facts.momentary_controls(button));
        let (at, path) = facts.path(arrival, button);
        let (says, help) = match finding {
            Finding::Never { why: Why::Start, .. } => (
                format!("nobody knows how {what} stands after power-up, and `{name}` needs it one way"),
                "say `starts NAME` if it always wakes in one way; else set it by hand before the show".to_owned(),
            ),
            Finding::Never { why: Why::Far(far), .. } => (
                format!("`{name}` wants {what} {far} steps on, and one press moves it by one"),
                "go there by way of a scene in between, or give the device a latching input".to_owned(),
            ),
            Finding::Never { why: Why::Clash, .. } => (
                format!("`{name}` wants one pulse to move {what} and to leave it"),
                "give each device a contact of its own".to_owned(),
            ),
            _ if facts.book.board.timing.repress == Some(Repress::Repeats) => (
                format!("`{name}` pulses {what}, and the same switch pressed again turns it back"),
                "use a latching input, or decide what the switcher does with the same switch".to_owned(),
            ),
            _ => (
                format!("`{name}` pulses {what}, and nothing says what the same switch does when it is pressed again"),
                "decide what the same switch does in `switcher`: if it pulses again, only a latching input is safe".to_owned(),
            ),
        };
        let told = Diagnostic::new(facts.scene_at(scene), says).other(at, path).help(help);
        let told = match (finding, &facts.book.board.switcher) {
            (Finding::Repress { .. }, Some(switcher)) => told
                .way(
                    "",
                    "say `repress ignored` in `switcher`, if the same switch then sends nothing",
                    facts.in_block_as(switcher.at, Kind::Repress, "repress ignored"),
                )
                .besides("use a latching input, the only safe one if it pulses again"),
            _ => told,
        };
        out.push(facts.about_device(told, scene, button));
    }
}
