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

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CircularFrom { at, circle } = fault else { continue };
        let Some((first, _)) = circle.first() else { continue };
        let shown = say::circle(circle.iter().map(|(name, _)| name.as_str()), 0, " from ");
        let mut told = Diagnostic::new(*at, format!("`{first}` derives from itself: {shown}")).help("take one `from` of the circle out");
        // Each link with the place that names the next.
        let next = circle.iter().skip(1).chain(circle.first()).map(|(name, _)| name);
        for ((name, place), next) in circle.iter().zip(next).skip(1).take(say::LONGEST_CIRCLE) {
            told = told.other(*place, format!("`{name}` is from `{next}`"));
        }
        out.push(told);
    }
}
