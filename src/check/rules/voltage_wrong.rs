//! A pedal on an outlet whose voltage it does not take.
//!
//! # On stage
//! Too much voltage destroys it, too little leaves it silent or changes its sound.
//!
//! # Way out
//! Move it to an outlet of its voltage, or say what it takes: `at 9 V to 18 V`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 18 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA at 9 V }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 20 mA at 12 V to 18 V }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 18 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA at 9 V to 18 V }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for load in &facts.supply().loads {
        for problem in &load.problems {
            let Problem::Voltage { device, from, to, gives } = problem else { continue };
            let Some(power) = book.board.power(*device) else { continue };
            let wants = if from == to { format!("{from} V") } else { format!("{from} V to {to} V") };
            let outlet = book.board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1));
            let Some(outlet) = outlet else { continue };
            let message = format!("`{}` takes {wants}, and outlet `{}` gives {gives} V", book.board.taker(*device), outlet.name);
            out.push(
                Diagnostic::new(power.at, message)
                    .other(outlet.at, "this outlet")
                    .help("move it to an outlet of its voltage before anything is plugged in"),
            );
        }
    }
}
