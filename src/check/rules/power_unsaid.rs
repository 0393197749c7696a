//! A pedal that does not say what voltage or polarity it takes, on an outlet that can hurt it: above 9 V, or
//! centre-positive. That pedals are built for 9 V and centre-negative plugs unless they say otherwise is common practice,
//! no source.
//!
//! # On stage
//! Too much voltage, or a plug the wrong way round, destroys a pedal at the moment it is plugged in.
//!
//! # Way out
//! Read it off the pedal, and say it: `power brick.E, 35 mA at 9 V to 18 V, centre-negative`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet E 18 V, 100 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.E, 35 mA }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet E 9 V, 100 mA, centre-positive, isolated }
//! pedal ember { loop 1; power brick.E, 5 mA at 9 V }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! supply brick {
//!   margin 20 %
//!   outlet A 9 V, 100 mA, centre-negative, isolated
//!   outlet E 18 V, 100 mA, centre-negative, isolated
//! }
//! pedal ember { loop 1; power brick.E, 35 mA at 18 V }
//! pedal grit { loop 2; power brick.A, 35 mA }
//! scene bed { engage ember, grit }
//! song "Quay" { bed }
//! ```

use crate::book::electric::Polarity;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Warning;

/// In volt. Common practice, no source.
const HARMLESS: f64 = 9.0;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for load in &facts.supply().loads {
        let Some(outlet) = book.board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1)) else { continue };
        let volts = outlet.volts.map(|v| v.value.value()).filter(|v| *v > HARMLESS);
        let positive = outlet.polarity == Some(Polarity::CentrePositive);
        for taker in load.takers.iter().filter(|t| !book.board.faulty(**t)) {
            let Some(power) = book.board.power(*taker) else { continue };
            let (mut unsaid, mut gives) = (Vec::new(), Vec::new());
            if let Some(volts) = volts.filter(|_| load.problems.contains(&Problem::NoVoltage { device: *taker })) {
                unsaid.push("voltage".to_owned());
                gives.push(format!("{volts} V"));
            }
            if positive && load.problems.contains(&Problem::NoPolarity { device: *taker }) {
                unsaid.push("polarity".to_owned());
                gives.push("a centre-positive plug".to_owned());
            }
            if unsaid.is_empty() {
                continue;
            }
            let (name, outlet_name) = (book.board.taker(*taker), &outlet.name);
            let (unsaid, gives) = (say::joined(&unsaid, "and"), say::joined(&gives, "and"));
            out.push(
                Diagnostic::new(power.at, format!("`{name}` does not say what {unsaid} it takes, and outlet `{outlet_name}` gives {gives}"))
                    .other(outlet.at, "this outlet")
                    .about(name)
                    .help(format!("read it off `{name}` and say it in this line, before anything is plugged in")),
            );
        }
    }
}
