//! Two pedals whose loops would carry one label of three letters.
//!
//! # On stage
//! In the dark, two loops read alike: the wrong lead is pulled.
//!
//! # Way out
//! Give one of the two a `code` of its own.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal embers { loop 2 }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; code HOT }
//! pedal haze { loop 2; code HOT }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal embers { loop 2; code EMS }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CodeClash { at, first, code, made_up } = fault else { continue };
        let named = |at| facts.device_at(at).map_or("", |d| d.name.as_str());
        let (one, two) = (named(*first), named(*at));
        let label = if *made_up { format!("`{code}`, made from the name") } else { format!("`{code}`") };
        out.push(
            Diagnostic::new(*at, format!("`{two}` and `{one}` would both be labelled `{code}`"))
                .label(label)
                .other(*first, format!("`{one}` is `{code}` too"))
                .help(format!("give `{two}` three letters of its own with `code`")),
        );
    }
}
