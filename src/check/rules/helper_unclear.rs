//! A helper, or something asked of it, that cannot be understood.
//!
//! # On stage
//! A preset would call the helper, and nobody could say which of its loops are in.
//!
//! # Way out
//! Say how many loops the helper has and what calls it: `on midi 3 programs from 1`, `on midi 3 cc 20` (one controller a loop)
//! or `on remote 2` (contacts that hold). Its loops are engaged by the pedals that sit in them, never by hand.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! helper annex { loops 2 }
//! pedal ember { loop 1 of annex }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! helper annex { loops 2; on remote 1 momentary }
//! pedal ember { loop 1 of annex }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! helper annex { loops 2; on remote 1 }
//! pedal ember { loop 1 of annex }
//! scene bed { engage ember; close remote 1 ring }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! helper annex { loops 2; on midi 3 programs from 1; preset 3: gully }
//! pedal ember { loop 1 of annex }
//! pedal gully { loop 1 }
//! scene bed { engage ember, gully }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! helper annex { loops 2; on remote 1 }
//! pedal ember { loop 1 of annex }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::book::Fault;
use crate::book::fault::HelperUnclear;
use crate::check::cells::count;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::HelperUnclear { at, name, why, there } = fault else { continue };
        let ways = "say `on midi 3 programs from 1`, `on midi 3 cc 20` or `on remote 2` with its own numbers";
        let (message, help) = match why {
            HelperUnclear::NoLoops => {
                (format!("`{name}` does not say how many loops it has"), "say it, as `loops 4`".to_owned())
            }
            HelperUnclear::NoWay => (format!("it is not clear what calls `{name}`"), format!("{ways}, once")),
            HelperUnclear::NotHeld => (
                format!("the contacts that call `{name}` must hold, and be its own"),
                "take `momentary` or `shared` out, or give it contacts of its own".to_owned(),
            ),
            HelperUnclear::Contacts(contacts, loops) => (
                format!("{contacts} contacts call `{name}`, which has {}", count(*loops, "loop")),
                "give it a contact a loop; or fewer, at most 8, to choose its presets with".to_owned(),
            ),
            HelperUnclear::NoPresets => (
                format!("each loop of `{name}` is called by itself, so it holds no presets"),
                "take this line out".to_owned(),
            ),
            HelperUnclear::NotInIt(what) => (
                format!("`{what}` sits in no loop of `{name}`"),
                format!("name pedals that sit in loops of `{name}`, or its own loops as `loop 2`"),
            ),
            HelperUnclear::Again => (
                format!("`{name}` has this preset already: its number, or its loops"),
                "decide which number these loops have, and take the other line out".to_owned(),
            ),
            HelperUnclear::Engaged => (
                format!("`{name}` itself is not engaged or bypassed: its loops are"),
                format!("name a pedal that sits in it, or a loop of it as `loop 1 of {name}`"),
            ),
            HelperUnclear::Set => (
                format!("`{name}` is called by what the scenes engage: nobody sets it by hand"),
                format!("engage the pedals that sit in it; a number that is to stay is said in `{name}`, as `preset 3: …`"),
            ),
            HelperUnclear::Contact(contact) => (
                format!("{contact} calls `{name}`: it follows from the pedals that are engaged there"),
                format!("engage or bypass the pedals in `{name}` instead"),
            ),
        };
        let said = if matches!(why, HelperUnclear::Again) { "it is said here" } else { "it is described here" };
        let told = Diagnostic::new(*at, message);
        let told = if at == there { told } else { told.other(*there, said) };
        out.push(told.help(help));
    }
}
