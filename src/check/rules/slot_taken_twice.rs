//! Two scenes pinned to one slot.
//!
//! # On stage
//! The switch under the foot stores one of them; the other song part is nowhere.
//!
//! # Way out
//! Move one of the two, or leave one to `others auto`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 bed; 1.1 calm }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { every bank switch 1 calm; 2.1 bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..2, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 bed; 1.2 calm; 2.1 bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::SlotTaken { at, first, slot, scenes: [one, two] } = fault else { continue };
        let (one, two) = (facts.scene(*one), facts.scene(*two));
        out.push(
            Diagnostic::new(*at, format!("switch {slot} is kept for `{one}`, and here for `{two}`"))
                .label(format!("`{two}` cannot stand here"))
                .other(*first, format!("`{one}` stands here"))
                .way("", format!("leave `{two}` to `others auto`, without this line"), facts.take_out(*at))
                .besides(format!("move `{one}` or `{two}` to another switch"))
                .help(format!("decide which of them stands there, and move `{one}` or `{two}` to another switch")),
        );
    }
}
