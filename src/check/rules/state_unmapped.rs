//! A device that stands for another tonight, and lacks what scenes ask of that one.
//!
//! # On stage
//! Scenes ask the amplifier for `lead`, and the hired one calls its channels otherwise: nobody knows which of them the
//! switcher should choose.
//!
//! # Way out
//! Say in its block which of its own states is meant: `channel clean is quiet, lead is loud`. A control that is not there at
//! all needs a scene without it: `instead scene …`.
//!
//! # Fires
//! ```scene
//! use "base.scene"
//! instead amp larch "hired" {
//!   fed by output 1
//!   control channel on remote 1 tip { quiet: open; loud: closed }
//! }
//! #--- base.scene
//! switcher { loops 1; remote jacks 1; outputs 1 }
//! amp larch { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
//! scene bed { larch.channel clean }
//! scene top { larch.channel lead }
//! song "Quay" { bed; top }
//! ```
//! ```scene
//! use "base.scene"
//! instead amp larch "hired" { fed by output 1 }
//! #--- base.scene
//! switcher { loops 1; remote jacks 1; outputs 1 }
//! amp larch { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
//! scene bed { larch.channel clean }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! use "base.scene"
//! instead amp larch "hired" {
//!   fed by output 1
//!   control channel on remote 1 tip { quiet: open; loud: closed }
//!   channel clean is quiet, lead is loud
//! }
//! #--- base.scene
//! switcher { loops 1; remote jacks 1; outputs 1 }
//! amp larch { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
//! scene bed { larch.channel clean }
//! scene top { larch.channel lead }
//! song "Quay" { bed; top }
//! ```

use crate::book::Fault;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let list = |names: &[String]| names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    for fault in facts.binding {
        let Fault::StateUnmapped { at, device, control, asked, has, there } = fault else { continue };
        let told = if asked.is_empty() {
            let has = if has.is_empty() { "nothing that can be set".to_owned() } else { list(has) };
            Diagnostic::new(*at, format!("the book asks `{device}` for `{control}`, and the one here has nothing of that name"))
                .help(format!(
                    "give it a `control {control}` (it has {has}), or put scenes without it in place of those that ask"
                ))
        } else {
            let maps: Vec<String> = asked.iter().map(|asked| format!("{asked} is …")).collect();
            Diagnostic::new(
                *at,
                format!("the book asks `{device}.{control}` for {}, and the one here has {}", list(asked), list(has)),
            )
            .help(format!(
                "say in its block which of its own is meant, each with one of {}: `{control} {}`",
                list(has),
                maps.join(", ")
            ))
        };
        out.push(told.other(*there, "asked for here, for one"));
    }
}
