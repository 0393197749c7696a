//! Pedals that together draw more than their supply gives in all, though no outlet gives too much.
//!
//! # On stage
//! The supply gets hot and gives up: the whole board goes silent at once.
//!
//! # Way out
//! Move pedals to another supply.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! supply brick {
//!   margin 0 %
//!   total 150 mA
//!   outlet A 9 V, 100 mA, centre-negative, isolated
//!   outlet B 9 V, 100 mA, centre-negative, isolated
//! }
//! pedal ember { loop 1; power brick.A, 80 mA }
//! pedal prism { loop 2; power brick.B, 80 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! supply brick { margin 0 %; total 0.1 A; outlet A 9 V, 90 mA, centre-negative, isolated; outlet B 9 V, 90 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 60 mA }
//! pedal prism { loop 2; power brick.B, 60 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! supply brick {
//!   margin 0 %
//!   total 160 mA
//!   outlet A 9 V, 100 mA, centre-negative, isolated
//!   outlet B 9 V, 100 mA, centre-negative, isolated
//! }
//! pedal ember { loop 1; power brick.A, 80 mA }
//! pedal prism { loop 2; power brick.B, 80 mA }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 0 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 80 mA }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for total in facts.supply().totals.iter().filter(|t| t.overdrawn()) {
        let Some(supply) = facts.book.board.supplies.get(total.supply) else { continue };
        let (gives, drawn) = (say::milli(total.gives), say::milli(total.drawn));
        let message = format!("supply `{}` gives {gives} mA in all, and {drawn} mA are drawn", supply.name);
        out.push(
            Diagnostic::new(supply.total.map_or(supply.at, |t| t.at), message)
                .about(&*supply.name)
                .help("move pedals to another supply, or use one that gives more"),
        );
    }
}
