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

use crate::ids::SayingId;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for found in facts.unsettled().into_iter().filter(|u| u.own.how.level().is_none()) {
        let (device, control) = found.of;
        let cells = facts.table.cells.of_control(device, control).iter();
        let mut half: Vec<SayingId> = cells.filter_map(|c| facts.spoken(found.scene, *c)).collect();
        half.dedup();
        let states: Vec<String> = found.own.states.iter().map(|s| s.name.clone()).collect();
        let help = match states.is_empty() {
            true => format!("list what it can be set to, or say `{}.{} stays`", found.pedal.name, found.own.name),
            false => format!("decide what its {} is to be, and say it in {}, or in `default`", found.own.name, found.places),
        };
        let own = found.own;
        let mut told = found.offering(facts, &states);
        for saying in half {
            told = told.other(facts.said_at(saying), format!("`{}` does not decide all of it", facts.statement(saying)));
        }
        out.push(told.other(own.at, "what it can be set to is listed here").help(help));
    }
}
