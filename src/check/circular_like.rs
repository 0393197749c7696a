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

use super::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CircularLike { at, circle } = fault else { continue };
        let Some((first, _)) = circle.first() else { continue };
        let names: Vec<&str> = circle.iter().map(|(name, _)| name.as_str()).chain([first.as_str()]).collect();
        let mut told = Diagnostic::new(*at, format!("`{first}` is described by itself: {}", say::joined(&names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>(), "like").replace(", ", " like ")))
            .help("describe one of them by itself, without `like`");
        // The whole circle: each link with the place that names the next.
        for (pair, (_, place)) in names.windows(2).zip(circle).skip(1) {
            if let [name, next] = pair {
                told = told.other(*place, format!("`{name}` is like `{next}`"));
            }
        }
        out.push(told);
    }
}
