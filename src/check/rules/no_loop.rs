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
        let mut told = Diagnostic::new(*at, format!("`{name}` sits in no loop, so no scene can switch it"))
            .other(*there, format!("`{name}` is described here, without a loop"));
        if let Some(free) = facts.free_loop() {
            let say = format!("loop {free}");
            told = told.way("", format!("say `{say}` in the description of `{name}`, if it sits there"), facts.in_block(*there, &say));
        }
        out.push(
            told.way("", format!("say `always on` in the description of `{name}`"), facts.in_block(*there, "always on"))
                .besides("decide which `control` of its own engages it")
                .help(format!("decide how `{name}` is switched, and say its `loop`, or what it is `engaged by`, in its description")),
        );
    }
}
