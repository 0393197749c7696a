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
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.settling {
        let Fault::Unsettled { scene, device, control } = fault else { continue };
        let Some((pedal, choice)) = facts.part(*device, *control).filter(|(_, c)| c.how.level().is_none()) else {
            continue;
        };
        let (name, own) = (facts.scene(*scene), &choice.name);
        let engages = if pedal.always() { "always sounds through" } else { "engages" };
        let mut told = Diagnostic::new(
            facts.scene_at(*scene),
            format!("`{name}` {engages} `{}`, but nobody chose its {own}", pedal.name),
        )
        .label(format!("`{}.{own}` is not settled here", pedal.name));
        if let Some(by) = facts.engaged_by(*scene, pedal) {
            told = told.other(facts.said_at(by), "engaged here");
        }
        let mut half: Vec<u32> = facts.table.cells.of_control(*device, *control).iter().filter_map(|c| facts.spoken(*scene, *c)).collect();
        half.dedup();
        for saying in half {
            told = told.other(facts.said_at(saying), format!("`{}` does not settle all of it", facts.statement(saying)));
        }
        out.push(told.other(choice.at, "its states are listed here").help(format!(
            "say {} in `{name}`, or in `default`",
            facts.choices(pedal, choice)
        )));
    }
}
