//! Scenes that derive from each other in a circle, so that none of them has a beginning. The same for sets.
//!
//! # On stage
//! None of these scenes can be worked out: every switch that should call one of them stays empty.
//!
//! # Way out
//! One scene of the circle must stand on its own: take its `from` out, and say there what it needs.
//!
//! # Fires
//! ```scene
//! scene bed from wide { mute }
//! scene wide from bed { }
//! song "Quay" { bed; wide }
//! ```
//! ```scene
//! scene bed from bed { mute }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! set "one" from "two" { "Quay" }
//! set "two" from "one" { pause "tune" }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! scene wide from bed { }
//! song "Quay" { bed; wide }
//! ```

use super::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CircularFrom { at, circle } = fault else { continue };
        let Some((first, _)) = circle.first() else { continue };
        let names: Vec<&str> = circle.iter().map(|(name, _)| name.as_str()).chain([first.as_str()]).collect();
        let mut told = Diagnostic::new(*at, format!("`{first}` derives from itself: {}", say::joined(&names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>(), "from").replace(", ", " from ")))
            .help("take one `from` of the circle out");
        // The whole circle: each link with the place that names the next.
        for (pair, (_, place)) in names.windows(2).zip(circle).skip(1) {
            if let [name, next] = pair {
                told = told.other(*place, format!("`{name}` is from `{next}`"));
            }
        }
        out.push(told);
    }
}
