//! A scene engages or bypasses a pedal that sits in no loop and is not always on.
//!
//! # On stage
//! No preset can switch it: it sounds as its own switch was left.
//!
//! # Way out
//! Say in which loop it sits, or that it is always on.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal haze { place top }
//! scene bed { engage haze }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal haze
//! default { bypass haze }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal haze { always on }
//! pedal ember { place under }
//! scene bed { mute }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::NoLoop { at, name, there } = fault else { continue };
        out.push(
            Diagnostic::new(*at, format!("`{name}` sits in no loop, so no scene can switch it"))
                .other(*there, format!("`{name}` is described here, without a loop"))
                .help(format!("say `loop 1`, or whichever it is, in the description of `{name}`; or `always on`; or `engaged by` a `control` of its own")),
        );
    }
}
