//! A device that hears programs on the channel that calls the switcher, where the book says that messages run between them.
//!
//! # On stage
//! A preset sends the device its program. It comes back to the switcher, which takes it for a call and goes to the preset of
//! that number: the wrong sound, a moment after the right one. Or the program that calls a preset goes on to the device, which
//! changes too.
//!
//! # Way out
//! Let the switcher answer on a channel of its own. Or break the way back: switch the echo of the computer off, or take out the
//! lead; then leave `hears itself` or `passes on` out.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; answers midi 2 programs from 1, hears itself }
//! pedal attic { loop 1; control room on midi 2 programs from 0 { small: program 3; hall: program 4 } }
//! scene bed { engage attic; attic.room hall }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; answers midi 2 programs from 1, passes on }
//! pedal attic { loop 1; control room on midi 2 programs from 0 { small: program 3; hall: program 4 } }
//! scene bed { engage attic; attic.room hall }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```
//! ```scene
//! switcher { banks 1..1, switches 1..4; answers midi 3 programs from 1, hears itself, passes on }
//! helper annex { loops 1; on midi 3 programs from 1 }
//! pedal ember { loop 1 of annex }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; answers midi 1 programs from 1, hears itself, passes on }
//! pedal attic { loop 1; control room on midi 2 programs from 0 { small: program 3; hall: program 4 } }
//! scene bed { engage attic; attic.room hall }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; answers midi 2 programs from 1 }
//! pedal attic { loop 1; control room on midi 2 programs from 0 { small: program 3; hall: program 4 } }
//! scene bed { engage attic; attic.room hall }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```

use crate::book::How;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    let Some(answers) = board.switcher.as_ref().and_then(|s| s.answers) else { return };
    for device in &board.devices {
        let hears = device.controls.iter().find(|c| matches!(c.how, How::Programs { channel, .. } if channel == answers.channel));
        let Some(control) = hears else { continue };
        let (name, channel) = (&device.name, answers.channel);
        let comes = format!("what a preset sends to `{name}` comes back, and calls a preset");
        let goes = format!("what calls a preset goes on to `{name}`, and changes it");
        let says = match (answers.hears_itself, answers.passes_on) {
            (true, true) => format!("{comes}; {goes}"),
            (true, false) => comes,
            (false, true) => goes,
            (false, false) => continue,
        };
        out.push(
            Diagnostic::new(control.at, format!("{says}: both are programs on MIDI channel {channel}"))
                .other(answers.at, "the switcher answers on this channel")
                .about(name)
                .help(format!("give the switcher or `{name}` a channel of its own, or break the way that messages take")),
        );
    }
}
