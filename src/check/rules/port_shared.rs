//! Two levels on one expression port.
//!
//! # On stage
//! The port holds one position for both: to set one pedal's depth is to move the other pedal's mix.
//!
//! # Way out
//! Put one of them on another expression port, or on a MIDI controller.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 1 from 0 % to 100 % }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal haze {
//!   loop 1
//!   level blend on expression 1 from 0 % to 100 %
//!   level time on expression 1 from 20 ms to 600 ms
//! }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 2 from 0 % to 100 % }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{Fault, How};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::PortShared { at, first, port } = fault else { continue };
        let level = |at| facts.control_at(at, |how| matches!(how, How::Port { port: p, .. } if p == port));
        let (one, two) = (level(*first), level(*at));
        out.push(
            Diagnostic::new(*at, format!("{two} moves with expression {port}, and so does {one}"))
                .label(format!("the second level on expression {port}"))
                .other(*first, "the first")
                .help("put one of the two on another expression port, or on a midi controller"),
        );
    }
}
