//! A scene sounds through a pedal or an amp, and no statement chooses one of its controls: not the scene, not what it
//! builds on, not the default.
//!
//! # On stage
//! The pedal comes on with whatever voice the last song left it in.
//!
//! # Way out
//! Choose it in the scene, or once for all scenes in `default`. `stays` says that it shall be left as it is.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! scene crunch { engage sift }
//! song "Quay" { all: crunch }
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! scene crunch { engage sift; close remote 1 tip }
//! song "Quay" { all: crunch }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! default { sift.voice round }
//! scene crunch { engage sift }
//! song "Quay" { all: crunch }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (device, control, scenes) in facts.unsettled() {
        let Some(scene) = scenes.first().copied() else { continue };
        let Some((pedal, choice)) = facts.part(device, control).filter(|(_, c)| c.how.level().is_none()) else {
            continue;
        };
        let (names, own) = (facts.few_scenes(&scenes), &choice.name);
        let engages = match (pedal.always(), scenes.len()) {
            (true, 1) => "always sounds through",
            (true, _) => "always sound through",
            (false, 1) => "engages",
            (false, _) => "engage",
        };
        let in_each = if scenes.len() == 1 { names.clone() } else { "each of them".to_owned() };
        let mut told = Diagnostic::new(
            facts.scene_at(scene),
            format!("{names} {engages} `{}`, but nobody chose its {own}", pedal.name),
        )
        .label(format!("`{}.{own}` is not settled here", pedal.name));
        if let Some(by) = facts.engaged_by(scene, pedal) {
            told = told.other(facts.said_at(by), "engaged here");
        }
        let mut half: Vec<u32> = facts.table.cells.of_control(device, control).iter().filter_map(|c| facts.spoken(scene, *c)).collect();
        half.dedup();
        for saying in half {
            told = told.other(facts.said_at(saying), format!("`{}` does not settle all of it", facts.statement(saying)));
        }
        out.push(told.other(choice.at, "its states are listed here").help(format!(
            "say {} in {in_each}, or in `default`",
            facts.choices(pedal, choice)
        )));
    }
}
