//! A pedal whose own switch is off after power-up, and that scenes engage.
//!
//! # On stage
//! The loop is engaged, and the pedal in it does nothing until a foot finds its own switch.
//!
//! # Way out
//! Leave its own switch on, and say so: `own switch starts on`. If somebody presses it before the show, say that:
//! `allow own-switch-off PEDAL "pressed at the line check"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; own switch starts off }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! pedal booster { always on; own switch starts off }
//! scene bed { }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; own switch starts on }
//! pedal grit { loop 2; own switch starts off }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::kind::Kind;
use crate::settle::Answer;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (number, device) in facts.book.board.devices.pairs() {
        // What engages it by its own control turns that switch.
        if device.own_switch != Some(false) || device.engaged_by.is_some() {
            continue;
        }
        let Some((_, scenes)) = facts.scenes_where(|row| row.sounds(number) == Answer::Yes) else { continue };
        let name = &device.name;
        out.push(
            Diagnostic::new(device.at, format!("`{name}` sounds in {scenes}, and its own switch is off after power-up"))
                .way(
                    "",
                    "leave it on and say `own switch starts on`",
                    facts.in_block_as(device.at, Kind::OwnSwitch, "own switch starts on"),
                )
                .besides(format!("say `allow own-switch-off {name} \"why\"`, if somebody presses it before the show"))
                .help(format!("say `allow own-switch-off {name} \"why\"`, if somebody presses it before the show")),
        );
    }
}
