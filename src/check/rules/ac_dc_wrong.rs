//! A pedal that takes direct current on an outlet that gives alternating current, or the other way round.
//!
//! # On stage
//! A pedal for DC may be destroyed by AC at the moment it is plugged in; one for AC stays dark, or hums, on DC.
//!
//! # Way out
//! Read it off both boxes (IEC 60417-5031 marks direct current, 5032 alternating; the numbers are from memory). Say `AC` behind
//! what takes it and what gives it, or move the pedal.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 500 mA, AC, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA at 9 V, centre-negative }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 500 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA at 9 V, AC }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 500 mA, AC, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA at 9 V, AC }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for load in &facts.supply().loads {
        let Some(outlet) = board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1)) else { continue };
        for problem in &load.problems {
            let Problem::Alternating { device, wants } = problem else { continue };
            let Some(power) = board.power(*device) else { continue };
            let (name, outlet_name) = (board.taker(*device), &outlet.name);
            let message = if *wants {
                format!("`{name}` takes AC, and outlet `{outlet_name}` gives DC")
            } else {
                format!("outlet `{outlet_name}` gives AC, and `{name}` does not say that it takes it")
            };
            out.push(
                Diagnostic::new(power.at, message)
                    .other(outlet.at, "this outlet")
                    .help(format!("read it off `{name}` before anything is plugged in: move it, or say `AC` in both lines")),
            );
        }
    }
}
