//! Devices that are each described as like the other, in a circle.
//!
//! # On stage
//! Nobody has said what any of them is, so nothing can be computed for a scene that engages one.
//!
//! # Way out
//! Describe one device of the circle by itself.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember like blaze { loop 1 }
//! pedal blaze like ember { loop 2 }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember like ember { loop 1 }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal blaze like ember { loop 2 }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CircularLike { at, circle } = fault else { continue };
        let Some((first, _)) = circle.first() else { continue };
        let shown = say::circle(circle.iter().map(|(name, _)| name.as_str()), 0, " like ");
        let mut told = Diagnostic::new(*at, format!("`{first}` is described by itself: {shown}")).help("describe one of them by itself, without `like`");
        // Each link with the place that names the next.
        let next = circle.iter().skip(1).chain(circle.first()).map(|(name, _)| name);
        for ((name, place), next) in circle.iter().zip(next).skip(1).take(say::LONGEST_CIRCLE) {
            told = told.other(*place, format!("`{name}` is like `{next}`"));
        }
        out.push(told);
    }
}
