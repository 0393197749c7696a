//! A statement that changes nothing: without it the scene would store the same.
//!
//! # On stage
//! Nothing is heard of it. But whoever reads it believes that something changes here, and looks for it.
//!
//! # Way out
//! Take it out, or say what was meant.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! pedal booster { always on }
//! scene bed { engage ember, booster }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene solo from bed { engage ember; mute }
//! song "Quay" { all: bed; end: solo }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm from bed { bypass ember }
//! song "Quay" { all: bed; end: calm }
//! ```

use crate::check::{Diagnostic, Facts, Fix, How, Severity};
use crate::book::What;
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Hint;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.hints() {
        let Fault::NoEffect { scene, saying } = fault else { continue };
        let Some(said) = facts.saying(*saying) else { continue };
        let (name, statement) = (facts.scene(*scene), facts.statement(*saying));
        let why = match said.what {
            What::AlwaysOn { device } => match facts.book.board.devices.get(device) {
                Some(d) if d.always_on => format!("`{}` is always on", d.name),
                Some(d) => format!("`{}`, as every {}, sounds in every scene", d.name, d.kind.word()),
                None => String::new(),
            },
            _ => format!("`{name}` has {} without it", facts.said(*saying)),
        };
        let told = Diagnostic::new(said.at, format!("`{statement}` changes nothing: {why}"));
        let fix = facts.take_out(said.at).map(|edits| Fix { says: format!("take out `{statement}`"), how: How::Offer, edits });
        out.push(match fix {
            Some(fix) => told.help("take it out").mend(fix),
            None => told,
        }.help("decide whether it is to stay"));
    }
}
