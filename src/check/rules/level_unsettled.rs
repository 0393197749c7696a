//! A scene sounds through a pedal or an amp, and no statement sets one of its levels: not the scene, not what it
//! builds on, not the default.
//!
//! # On stage
//! The pedal comes on as deep or as loud as the last song left it.
//!
//! # Way out
//! Set it in the scene, or once for all scenes in `default`; or hand it to a foot with `foot`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal haze { loop 2; level blend on midi 3 cc 14 from 0 % to 100 % }
//! scene bed { engage throb, haze; expression 1 at 50 % }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! default { throb.depth 0 % }
//! scene bed { engage throb }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{How, amount};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (device, control, scenes) in facts.unsettled() {
        let Some(scene) = scenes.first().copied() else { continue };
        let Some((pedal, level)) = facts.part(device, control) else { continue };
        let Some((from, to)) = level.how.level() else { continue };
        let (names, own) = (facts.few_scenes(&scenes), &level.name);
        let engages = match (pedal.always(), scenes.len()) {
            (true, 1) => "always sounds through",
            (true, _) => "always sound through",
            (false, 1) => "engages",
            (false, _) => "engage",
        };
        let in_each = if scenes.len() == 1 { names.clone() } else { "each of them".to_owned() };
        let mut told = Diagnostic::new(
            facts.scene_at(scene),
            format!("{names} {engages} `{}`, but nobody set its {own}", pedal.name),
        )
        .label(format!("`{}.{own}` is not settled here", pedal.name));
        if let Some(by) = facts.engaged_by(scene, pedal) {
            told = told.other(facts.said_at(by), "engaged here");
        }
        let fed = matches!(level.how, How::Port { port, .. } if facts.book.board.treadles.iter().any(|t| t.port == port));
        let foot = if fed { format!(", or `{}.{own} foot`", pedal.name) } else { String::new() };
        out.push(told.other(level.at, "its range is stated here").help(format!(
            "say `{}.{own} {}`, or any value up to {}{foot}, in {in_each}, or in `default`",
            pedal.name,
            amount::show(from),
            amount::show(to)
        )));
    }
}
