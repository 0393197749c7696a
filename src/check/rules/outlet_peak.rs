//! Pedals that together draw more than their outlet, or their supply, gives for a moment, as when all is switched on. Only
//! what states a `peak` is counted with it; all else with the current that it draws all the time.
//!
//! # On stage
//! The supply trips as the board is switched on, or a pedal starts half and stays mute: it works on the second try, or not.
//!
//! # Way out
//! Move one to another outlet, or say what the outlet gives for a moment: `outlet I 9 V, 500 mA peak 900 mA`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 500 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 240 mA peak 700 mA at 9 V, centre-negative }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! supply brick {
//!   margin 20 %
//!   total 600 mA
//!   outlet A 9 V, 300 mA peak 500 mA, centre-negative, isolated
//!   outlet B 9 V, 300 mA peak 500 mA, centre-negative, isolated
//! }
//! pedal ember { loop 1; power brick.A, 200 mA peak 400 mA at 9 V, centre-negative }
//! pedal prism { loop 2; power brick.B, 200 mA peak 400 mA at 9 V, centre-negative }
//! scene bed { engage ember, prism }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! supply brick { margin 20 %; outlet A 9 V, 500 mA peak 800 mA, centre-negative, isolated }
//! pedal ember { loop 1; power brick.A, 240 mA peak 700 mA at 9 V, centre-negative }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::supply::Problem;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for load in &facts.supply().loads {
        let Some(outlet) = board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1)) else { continue };
        for problem in &load.problems {
            let Problem::Peak { drawn, gives, stated } = problem else { continue };
            let (name, gives, drawn) = (&outlet.name, say::milli(*gives), say::milli(*drawn));
            let known = if *stated { "for a moment" } else { "all the time and names no peak" };
            let message = format!("outlet `{name}` gives {gives} mA {known}, and {drawn} mA are drawn as it is switched on");
            let peak = |taker| board.power(taker).and_then(|power| power.peak);
            let at = load.takers.iter().rev().find_map(|taker| peak(*taker)).map_or(outlet.at, |peak| peak.at);
            out.push(
                Diagnostic::new(at, message)
                    .about(&**name)
                    .other(outlet.at, "this outlet")
                    .help("move a pedal to another outlet, or read off the supply what it gives for a moment and say it: `peak`"),
            );
        }
    }
    for total in facts.supply().totals.iter().filter(|t| t.surges()) {
        let Some(supply) = board.supplies.get(total.supply) else { continue };
        let (gives, drawn) = (say::milli(total.gives), say::milli(total.peak));
        let message = format!("supply `{}` gives {gives} mA in all, and {drawn} mA are drawn as it is switched on", supply.name);
        out.push(
            Diagnostic::new(supply.total.map_or(supply.at, |t| t.at), message)
                .about(&*supply.name)
                .help("move pedals to another supply, or switch them on one after the other"),
        );
    }
}
