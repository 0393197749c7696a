//! A control that is said to engage its pedal, and cannot.
//!
//! # On stage
//! A preset would send something, and nobody could say whether the pedal is in or out.
//!
//! # Way out
//! Give the pedal a control of two states, one in and one out, that a message, a contact that holds or the foot chooses,
//! and name the state in which it is in: `engaged by switch in`. A pedal in a loop is engaged by its loop.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { control mode on midi 3 cc 80 { out: value 0; slow: value 64; fast: value 127 }; engaged by mode slow }
//! scene bed {}
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal ember { control switch on remote 1 tip momentary { out; in } starts out; engaged by switch in }
//! scene bed {}
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; control switch on midi 3 cc 80 { out: value 0; in: value 127 }; engaged by switch in }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! guitar plank
//! pedal ember { control switch on midi 3 cc 80 { out: value 0; in: value 127 }; engaged by switch in }
//! amp larch
//! chain front: guitar -> loop 1 -> ember -> larch
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::book::Fault;
use crate::book::fault::NotEngaging;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::EngagedUnclear { at, name, control, why, there } = fault else { continue };
        let (message, help) = match why {
            NotEngaging::States(count) => (
                format!("`{control}` has {}, and what engages `{name}` has two", many(*count)),
                format!("give `{name}` a `control` of two settings for it, one in and one out"),
            ),
            NotEngaging::Pulses => (
                format!("`{control}` only moves on with each pulse, so nobody knows whether `{name}` is in"),
                format!("engage `{name}` by a message or by a contact that holds, or sit it in a loop"),
            ),
            NotEngaging::Shared => (
                format!("`{control}` is on a contact that moves another device too, so `{name}` would come and go with it"),
                format!("give what engages `{name}` a contact of its own"),
            ),
            NotEngaging::Level => (
                format!("`{control}` is a level: at none of its values is it said that `{name}` is in"),
                format!("say it as a `control`, as in `control {control} on midi 3 cc 80 {{ out: value 0; in: value 127 }}`"),
            ),
            NotEngaging::Otherwise => (
                format!("`{name}` is engaged otherwise: by its loop, or all the time"),
                "take one of the two out".to_owned(),
            ),
        };
        out.push(Diagnostic::new(*at, message).other(*there, format!("`{control}` is described here")).help(help));
    }
}

fn many(count: usize) -> String {
    match count {
        0 => "no settings".to_owned(),
        1 => "one setting".to_owned(),
        n => format!("{n} settings"),
    }
}
