//! A level that jumps when a scene gives it to the foot, or takes it back.
//!
//! # On stage
//! The preset held the level at one value and the treadle stands at another. At the press the level leaps there, in the
//! middle of a note.
//!
//! # Way out
//! Let the foot start where the level stood (`foot from heel`, `foot from toe`), let the scene before hold that end, or say that it
//! is meant: `allow level-jump-on-takeover A to B "it starts from nothing"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle left feeds expression 1
//! scene bed { engage tide; tide.depth 30 % }
//! scene swell from bed { tide.depth foot from heel }
//! song "Quay" { bed; swell }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle left feeds expression 1
//! scene bed { engage tide; tide.depth 30 % }
//! scene swell from bed { tide.depth foot }
//! song "Quay" { swell; bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle left feeds expression 1
//! scene bed { engage tide; tide.depth 0 % }
//! scene swell from bed { tide.depth foot from heel }
//! scene plain { mute }
//! song "Quay" { bed; swell; plain }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::amount::{at_step, show};
use crate::settle::Row;
use crate::study::walk::Takes;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for change in facts.changes() {
        let Some(from) = change.from else { continue };
        let (at, _) = facts.played(change.to.part);
        let (a, b) = (facts.scene(from.scene), facts.scene(change.to.scene));
        for jump in &change.jumps {
            let (device, number) = jump.level;
            let Some(control) = facts.control(device, number) else { continue };
            let steps = facts.table.cells.list.get(jump.port as usize).map_or(2, |c| c.steps);
            let value = |step: u16| control.how.level().map_or(String::new(), |(f, t)| show(at_step(step, steps, f, t)));
            let what = format!("`{}` {}", facts.device(device), control.name);
            let stood = Row::of(facts.book, facts.table, jump.held.0).amount(device, number).map_or(String::new(), show);
            let (says, help) = match jump.takes {
                Takes::Anywhere => (
                    format!("`{b}` gives {what} to the foot: from {stood} it jumps to wherever the treadle stands"),
                    format!("decide where the foot starts in `{b}`, `foot from heel` or `foot from toe`, and hold that end in `{a}`"),
                ),
                Takes::From(start) => (
                    format!("`{b}` gives {what} to the foot: from {stood} it jumps to {}", value(start)),
                    format!("decide where `{a}` holds it, and where the foot starts"),
                ),
                Takes::GivesBack => (
                    format!("`{b}` takes {what} from the foot: it jumps to {stood} from wherever the treadle stands"),
                    format!("bring the treadle there by the end of `{a}`"),
                ),
            };
            let setting = format!("{}.{}", facts.device(device), control.name);
            let cells = facts.table.cells.of_control(device, number);
            let say = |scene: u32, value: &str| facts.in_scene(scene, &format!("{setting} {value}"), cells);
            let told = Diagnostic::new(at, says).other(facts.played(from.part).0, format!("from `{a}`"));
            let told = match jump.takes {
                Takes::Anywhere => told,
                Takes::From(start) => {
                    let other = if start == 0 { "foot from toe" } else { "foot from heel" };
                    told.way("", format!("hold {} in `{a}`", value(start)), say(from.scene, &value(start)))
                        .way("", format!("say `{setting} {other}` in `{b}`"), say(change.to.scene, other))
                }
                Takes::GivesBack => told
                    .way("", format!("leave it to the foot in `{b}` too"), say(change.to.scene, "foot"))
                    .besides(format!("bring the treadle there by the end of `{a}`")),
            };
            out.push(told.about(a).about(b).help(help));
        }
    }
}
