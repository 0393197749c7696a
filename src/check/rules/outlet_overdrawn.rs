//! Pedals that together draw more than their outlet gives.
//!
//! # On stage
//! The voltage sags: pedals hum, drop out or start anew in the middle of a song, and the supply gets hot.
//!
//! # Way out
//! Move one to another outlet, or find an outlet that gives more.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA }
//! pedal prism { loop 2; power brick.A, 50 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 0.2 A }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 40 mA }
//! pedal prism { loop 2; power brick.A, 40 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for load in &facts.supply().loads {
        for problem in &load.problems {
            if let (Problem::Overdrawn { drawn, gives }, Some(last)) = (problem, load.takers.last()) {
                let Some(power) = book.board.power(*last) else { continue };
                let at = power.current.map_or(power.at, |c| c.at);
                let outlet = book.board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1));
                let Some(outlet) = outlet else { continue };
                let message =
                    format!("outlet `{}` gives {} mA, and {} mA are drawn", outlet.name, say::milli(*gives), say::milli(*drawn));
                out.push(
                    Diagnostic::new(at, message)
                        .other(outlet.at, "this outlet")
                        .help("move a pedal to another outlet, or use one that gives more"),
                );
            }
        }
    }
}
