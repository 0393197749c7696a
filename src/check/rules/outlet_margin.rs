//! Pedals that together draw what their outlet gives, but not with the margin that the supply is to keep in hand.
//!
//! # On stage
//! It works on the bench. In the heat, or with a pedal that draws more when its lamp is lit, it does not.
//!
//! # Way out
//! Move one to another outlet, or state a smaller `margin`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 50 mA }
//! pedal prism { loop 2; power brick.A, 40 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 81 mA }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 80 mA }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for load in &facts.supply().loads {
        for problem in &load.problems {
            if let (Problem::Margin { drawn, allowed }, Some(last)) = (problem, load.takers.last()) {
                let Some(power) = book.board.power(*last) else { continue };
                let at = power.current.map_or(power.at, |c| c.at);
                let outlet = book.board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1));
                let Some(outlet) = outlet else { continue };
                let (name, allowed, drawn) = (&outlet.name, say::milli(*allowed), say::milli(*drawn));
                let message =
                    format!("outlet `{name}` may give {allowed} mA with its margin, and {drawn} mA are drawn");
                out.push(
                    Diagnostic::new(at, message)
                        .about(&**name)
                        .other(outlet.at, "this outlet")
                        .help("move a pedal to another outlet, or keep a smaller `margin` in hand"),
                );
            }
        }
    }
}
