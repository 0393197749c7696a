//! A jack of the panel to which no lead of the board leads, in any chain or control.
//!
//! # On stage
//! Somebody plugs a lead into it, and nothing is heard.
//!
//! # Way out
//! Take it out of the panel, or add the chain or the control that it is for.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! panel { in 1 guitar; in 2 larch send }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! panel { out 1 output 1; out 4 remote 1 }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1; remote jacks 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! panel { in 1 guitar; out 1 output 1 }
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::electric::PanelWhat;
use crate::study::wiring::named;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    // Where something could not be read, what seems unused may be used there.
    let unsure = book.broken || book.board.chains.iter().any(|c| c.faulty) || book.board.devices.iter().any(|d| d.faulty);
    let Some(panel) = book.board.panel.as_ref().filter(|_| !unsure) else { return };
    let wiring = facts.wiring();
    for jack in &panel.jacks {
        if jack.what != PanelWhat::Unknown && wiring.unused.contains(&named(jack)) {
            let what = facts.text(jack.at);
            out.push(
                Diagnostic::new(jack.at, format!("nothing on the board leads to `{what}`"))
                    .about(what)
                    .help("take it out of the panel, or add what it is for"),
            );
        }
    }
}
