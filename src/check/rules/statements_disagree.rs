//! Two statements of one scene, one layer or the default that want two things of one cell.
//!
//! # On stage
//! The switcher stores one value. Whichever it is, half of what was agreed is not heard.
//!
//! # Way out
//! Take one of the two lines out, or move one to a scene of its own.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember; bypass ember }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift {
//!   loop 1
//!   control voice on remote 1 { round: tip closed, ring open; sharp: tip open, ring closed }
//! }
//! scene bed { engage sift; sift.voice round; close remote 1 ring }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember; engage loop 1 }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let claimed = facts.claimed();
    for fault in facts.settling {
        let Fault::StatementsDisagree { who, first, second, cell } = fault else { continue };
        // Two controls that hang on one jack must disagree there; that they do is told once.
        if claimed && facts.controls_differ(*first, *second) {
            continue;
        }
        let (one, two) = facts.clash(*first, *second);
        out.push(
            Diagnostic::new(facts.said_at(*second), format!("{} wants {one}, and then wants {two}", facts.speaker(*who)))
                .label(facts.puts(*second, *cell))
                .other(facts.said_at(*first), facts.puts(*first, *cell))
                .way("", format!("take out `{}`", facts.statement(*first)), facts.take_out(facts.said_at(*first)))
                .way("", format!("take out `{}`", facts.statement(*second)), facts.take_out(facts.said_at(*second)))
                .help("decide which of the two is meant"),
        );
    }
}
