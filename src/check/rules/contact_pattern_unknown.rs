//! The contacts of an engaged pedal or an amp make a pattern that none of its states lists. A pattern that is not
//! listed is never allowed while the pedal sounds.
//!
//! # On stage
//! The pedal gets a pair of contacts that it was not built for: no side answers, or both do.
//!
//! # Way out
//! Choose one of the states by name, or list the pattern as a state of its own if the pedal knows it.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! scene bed { engage sift; close remote 1 tip, remote 1 ring }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! scene bed { engage sift; open remote 1 tip, remote 1 ring }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! scene bed { engage sift; close remote 1 tip; open remote 1 ring }
//! scene still { close remote 1 tip, remote 1 ring }
//! song "Quay" { all: bed; end: still }
//! ```

use crate::ids::SayingId;
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many settings are offered.
const MOST: usize = 3;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.settling {
        let Fault::PatternUnknown { scene, device, control } = fault else { continue };
        let Some((pedal, choice)) = facts.part(*device, *control) else { continue };
        let columns = facts.table.cells.of_control(*device, *control);
        let pattern: Vec<String> =
            columns.iter().map(|c| facts.holds(*c, facts.table.value(*scene, *c))).collect();
        let (name, own) = (facts.scene(*scene), &choice.name);
        let mut told = Diagnostic::new(
            facts.scene_at(*scene),
            format!("`{name}` sounds through `{}` with its {own} on no setting that it has", pedal.name),
        )
        .label(pattern.join(", "));
        let mut sayings: Vec<SayingId> = columns.iter().filter_map(|c| facts.spoken(*scene, *c)).collect();
        sayings.dedup();
        for saying in sayings {
            told = told.other(facts.said_at(saying), format!("`{}`", facts.statement(saying)));
        }
        for state in choice.states.iter().take(MOST) {
            let say = format!("{}.{own} {}", pedal.name, state.name);
            let edits = facts.in_scene(*scene, &say, columns);
            told = told.way(&format!("in `{name}`"), format!("say `{say}` instead"), edits);
        }
        out.push(
            told.other(choice.at, format!("the settings of `{}.{own}`", pedal.name))
                .besides(format!("list this pattern as a setting of `{}.{own}`", pedal.name))
                .help(format!("decide which setting `{name}` wants, or list this pattern as one of `{}.{own}`", pedal.name)),
        );
    }
}
