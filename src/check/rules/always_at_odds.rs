//! Two amplifiers, buffers or pedals that sound in every scene want different things of one contact, whatever is said.
//!
//! # On stage
//! One of the two is wrong in every song.
//!
//! # Way out
//! Give each a contact of its own, or list a setting that both can stand in.
//!
//! # Fires
//! ```scene
//! switcher { remote jacks 1 }
//! amp larch { control channel on remote 1 tip shared { round: open } }
//! amp alder { control channel on remote 1 tip shared { sharp: closed } }
//! scene bed { larch.channel round }
//! scene cry { alder.channel sharp }
//! song "Quay" { verse: bed; end: cry }
//! ```
//! ```scene
//! switcher { remote jacks 1 }
//! amp larch { control channel on remote 1 shared { a: tip open, ring open; b: tip closed, ring closed } }
//! amp alder { control channel on remote 1 shared { a: tip open, ring closed; b: tip closed, ring open } }
//! scene bed { larch.channel a }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { remote jacks 1 }
//! amp larch { control channel on remote 1 tip shared { clean: open; lead: closed } }
//! amp alder { control channel on remote 1 tip shared { lead: closed; clean: open } }
//! scene bed { larch.channel clean }
//! song "Quay" { all: bed }
//! ```

use crate::ids::{ControlId, DeviceId};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.settling {
        let Fault::AtOdds { first, second } = fault else { continue };
        // Told where the second stands in the text.
        let at = |owner: &(DeviceId, ControlId)| facts.part(owner.0, owner.1).map(|(_, control)| control.at);
        let (first, second) = if at(first) <= at(second) { (first, second) } else { (second, first) };
        let (Some((one, choice)), Some((other, wanted))) = (facts.part(first.0, first.1), facts.part(second.0, second.1))
        else {
            continue;
        };
        let shared = facts.table.cells.of_control(first.0, first.1).iter();
        let shared = shared.filter(|c| facts.table.cells.of_control(second.0, second.1).contains(c));
        let shared: Vec<&str> = shared.map(|c| facts.cell(*c)).collect();
        let message = format!(
            "`{}` and `{}` always sound, and no setting of one goes with a setting of the other on {}",
            one.name,
            other.name,
            crate::check::say::joined(&shared.iter().map(|s| s.replace('-', " ")).collect::<Vec<_>>(), "and"),
        );
        let told = Diagnostic::new(wanted.at, message).other(choice.at, format!("the settings of `{}.{}`", one.name, choice.name));
        out.push(told.help(format!("give `{}` a contact of its own, or list a setting that both can stand in", other.name)));
    }
}
