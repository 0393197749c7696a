//! Two controls on one contact of a remote jack, and not both say `shared`.
//!
//! # On stage
//! One contact closes for both: picking one pedal's voice switches the other pedal too.
//!
//! # Way out
//! Wire one of them to another contact; or, if both do hang on one lead, say `shared` in both.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: open; sharp: closed } }
//! pedal haze { loop 2; control size on remote 1 { hall: tip open, ring closed; room: tip closed, ring open } }
//! ```
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift { loop 1; control voice on remote 1 tip shared { round: open; sharp: closed } }
//! pedal haze { loop 2; control size on remote 1 tip { hall: open; room: closed } }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; remote jacks 2 }
//! pedal sift { loop 1; control voice on remote 1 tip shared { round: open; sharp: closed } }
//! pedal haze { loop 2; control size on remote 1 tip shared { hall: open; room: closed } }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{Fault, How};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::ContactClaimed { at, first, contact } = fault else { continue };
        let hangs = |how: &How| match how {
            How::Remote { contacts, .. } => contacts.iter().any(|c| c.says() == *contact),
            How::Pulses { contact: own, .. } => own.says() == *contact,
            _ => false,
        };
        let (one, two) = (facts.control_at(*first, hangs), facts.control_at(*at, hangs));
        out.push(
            Diagnostic::new(*at, format!("{two} hangs on {contact}, and so does {one}"))
                .label(format!("the second on {contact}"))
                .other(*first, "the first")
                .help("decide whether they hang on one lead, which both call `shared`; else wire one of the two to another contact"),
        );
    }
}
