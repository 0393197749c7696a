//! A pedal on an outlet whose plug is the other way round.
//!
//! # On stage
//! It stays dark at best. Without protection inside it is destroyed when the supply is switched on.
//!
//! # Way out
//! Use an outlet or a lead of the polarity that the mark on the pedal shows (IEC 60417-5926; the number is from memory).
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA, centre-positive }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-positive, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA at 9 V, centre-negative }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 4 mA, centre-negative }
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
            let Problem::Polarity { device, wants } = problem else { continue };
            let Some(power) = book.board.power(*device) else { continue };
            let outlet = book.board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1));
            let Some(outlet) = outlet else { continue };
            let message = format!("`{}` is {}, and outlet `{}` is not", book.board.taker(*device), wants.word(), outlet.name);
            out.push(
                Diagnostic::new(power.at, message)
                    .other(outlet.at, "this outlet")
                    .help("use a lead that reverses the polarity, and say so: `power …, reversing lead`"),
            );
        }
    }
}
