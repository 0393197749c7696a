//! A slot that the switcher does not have.
//!
//! # On stage
//! There is no such switch to press.
//!
//! # Way out
//! Name a bank and a switch that are there, or say which the switcher has.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 5.1 bed; 1.2 calm }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 bed; others auto }
//! safe 1.7
//! ```
//! ```scene
//! switcher { loops 1 }
//! scene bed { mute }
//! song "Quay" { all: bed }
//! slots { 1.1 bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 2.2 bed; others auto }
//! safe 2.2
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::NoSuchSlot { at, range } = fault else { continue };
        let slot = facts.text(*at);
        let told = match range {
            Some(range) => Diagnostic::new(*at, format!("there is no switch {slot}: the switcher has {range}"))
                .help(format!("take a switch from {range}, or give the switcher more banks or switches")),
            None => Diagnostic::new(*at, format!("there is no switch {slot}: the switcher has no banks"))
                .help("say which banks and switches it has, as `banks 1..8, switches 1..5`"),
        };
        out.push(match &facts.book.board.switcher {
            Some(switcher) => told.other(switcher.at, "the switcher is described here"),
            None => told,
        });
    }
}
