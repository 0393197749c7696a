//! Two treadles on one expression port, or on one input for a treadle.
//!
//! # On stage
//! A jack takes one plug. The second treadle moves nothing, and the foot stands on it when its level is wanted.
//!
//! # Way out
//! Give each treadle a jack of its own, or take one of them off the board.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! treadle near feeds expression 1
//! treadle far feeds expression 1
//! scene bed { engage throb; throb.depth foot }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! treadle near feeds expression 1
//! scene bed { engage throb; throb.depth foot }
//! song "Quay" { bed }
//! treadle far feeds expression 1
//! treadle spare feeds expression 1
//! ```
//!
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 2 }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! treadle near on foot input 1
//! treadle far on foot input 1
//! scene bed { engage throb; near moves throb.depth }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps }
//! pedal throb {
//!   loop 1
//!   level depth on expression 1 from 0 % to 60 %
//!   level mix on expression 2 from 0 % to 100 %
//! }
//! treadle near feeds expression 1
//! treadle far feeds expression 2
//! scene bed { engage throb; throb.depth foot; throb.mix 20 % }
//! scene wash from bed { throb.depth 10 %; throb.mix foot from heel }
//! song "Quay" { bed }
//! song "Mole" { wash }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{Fault, Plugged};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::PortFedTwice { at, first, plugged } = fault else { continue };
        let (one, two) = (facts.files.text(*first), facts.files.text(*at));
        let (says, place, jack) = match plugged {
            Plugged::Port(port) => ("feeds", format!("expression {port}"), "port"),
            Plugged::Input(input) => ("sits on", format!("foot input {input}"), "input"),
        };
        let other = if says == "feeds" { "let one of the two feed another expression port" } else { "put one of the two on another input" };
        out.push(
            Diagnostic::new(*at, format!("`{two}` {says} {place}, and so does `{one}`"))
                .label(format!("the second treadle on {place}"))
                .other(*first, "the first")
                .help(format!("{} {jack} takes one plug: {other}", if jack == "input" { "an" } else { "a" })),
        );
    }
}
