//! Two statements of one scene, one layer or the default that want two things of one cell.
//!
//! # On stage
//! The switcher stores one value. Whichever it is, half of what was agreed is not heard.
//!
//! # Way out
//! Take one of the two lines out, or move one to a scene of its own.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember; bypass ember }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember; bypass loop 1 }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember; engage loop 1 }
//! song "Quay" { all: bed }
//! ```

use super::{Diagnostic, Facts, Severity};
use crate::settle::{Fault, Speaker};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.settling {
        if let Fault::StatementsDisagree { who, first, second, cell } = fault {
            let who = match who {
                Speaker::Default => "the default".to_owned(),
                Speaker::Layer(layer) => {
                    format!("layer `{}`", facts.book.layers.get(*layer as usize).map_or("", |l| &l.name))
                }
                Speaker::Scene(scene) => format!("`{}`", facts.scene(*scene)),
            };
            let (one, two) = (facts.said(*first), facts.said(*second));
            out.push(
                Diagnostic::new(facts.said_at(*second), format!("{who} wants {one}, and here {two}"))
                    .label(format!("this settles {}", facts.cell(*cell)))
                    .other(facts.said_at(*first), "and this settles it otherwise")
                    .help("take one of the two out"),
            );
        }
    }
}
