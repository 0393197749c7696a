//! A level that jumps when a scene gives it to the foot, or takes it back.
//!
//! # On stage
//! The preset held the level at one value and the treadle stands at another. At the press the level leaps there, in the
//! middle of a note. Between two songs with a pause between them, or another guitar to take in hand, nothing sounds: it is not
//! told there.
//!
//! # Way out
//! Let the foot start where the level stood (`foot from heel`, `foot from toe`, `rocker from heel moves …`), let the scene before hold that end, or say that it
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
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle rocker on foot input 1
//! scene bed { engage tide; tide.depth 30 % }
//! scene swell from bed { rocker moves tide.depth from 20 % to 50 % }
//! song "Quay" { bed; swell }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle rocker on foot input 1
//! scene swell { engage tide; rocker moves tide.depth from 20 % to 50 % }
//! scene surge { engage tide; rocker moves tide.depth from 10 % to 60 % }
//! song "Quay" { swell }
//! song "Mole" { surge }
//! set "one" { "Quay"; "Mole" }
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
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle rocker on foot input 1
//! scene bed { engage tide; tide.depth 50 % }
//! scene swell from bed { rocker from toe moves tide.depth from 20 % to 50 % }
//! song "Quay" { bed; swell }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle rocker on foot input 1
//! scene bed { engage tide; tide.depth 30 % }
//! scene swell from bed { rocker moves tide.depth from 20 % to 50 % }
//! song "Quay" { swell }
//! song "Mole" { bed }
//! set "one" { "Quay"; pause "water"; "Mole" }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! guitar slab
//! guitar arch
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! treadle rocker on foot input 1
//! scene bed { engage tide; tide.depth 30 % }
//! scene swell from bed { rocker moves tide.depth from 20 % to 50 % }
//! song "Quay" on slab { swell }
//! song "Mole" on arch { bed }
//! set "one" { "Quay"; "Mole" }
//! ```

use crate::ids::SceneId;
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::amount::{at_step, show};
use crate::settle::{Row, Setting, Value};
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
            let steps = facts.table.cells.list.get(jump.port).map_or(2, |c| c.steps);
            let value = |step: u16| control.how.level().map_or(String::new(), |(f, t)| show(at_step(step, steps, f, t)));
            let what = format!("`{}` {}", facts.device(device), control.name);
            let stood = Row::of(facts.book, facts.table, jump.held.0).amount(device, number).map_or(String::new(), show);
            let ends = |scene: SceneId| {
                let row = Row::of(facts.book, facts.table, scene);
                let (heel, toe) = row.ends(device, number).map_or_else(Default::default, |(a, b)| (show(a), show(b)));
                (heel, toe, matches!(row.setting(device, number), Some(Setting::Foot(Value::Moved(_)))))
            };
            let (says, help) = match jump.takes {
                Takes::Anywhere => {
                    let (heel, toe, moved) = ends(change.to.scene);
                    let to = match moved {
                        true => leaps([heel, toe], &stood, ", to "),
                        false => "wherever the treadle stands".to_owned(),
                    };
                    let start = if moved { "`from heel` or `from toe`" } else { "`foot from heel` or `foot from toe`" };
                    (
                        format!("`{b}` gives {what} to the foot: from {stood} it jumps to {to}"),
                        format!("decide where the foot starts in `{b}`, {start}, and hold that end in `{a}`"),
                    )
                }
                Takes::From(start) => (
                    format!("`{b}` gives {what} to the foot: from {stood} it jumps to {}", value(start)),
                    format!("decide where `{a}` holds it, and where the foot starts"),
                ),
                Takes::GivesBack => {
                    let (heel, toe, moved) = ends(from.scene);
                    let whence = match moved {
                        true => leaps([heel, toe], &stood, ", from "),
                        false => "wherever the treadle stands".to_owned(),
                    };
                    (
                        format!("`{b}` takes {what} from the foot: it jumps to {stood} from {whence}"),
                        format!("bring the treadle there by the end of `{a}`"),
                    )
                }
                Takes::Otherwise => {
                    let ((heel, toe, _), (now_heel, now_toe, _)) = (ends(from.scene), ends(change.to.scene));
                    let jumps = [("heel", heel, now_heel), ("toe", toe, now_toe)].into_iter().filter(|(_, was, now)| was != now);
                    let jumps: Vec<String> =
                        jumps.map(|(end, was, now)| format!("with the {end} down from {was} to {now}")).collect();
                    let on = |scene: SceneId| match facts.table.stored(scene, jump.port) {
                        Value::Moved(travel) => facts.book.board.treadle_on(travel.input()),
                        _ => None,
                    };
                    let other = match (on(from.scene), on(change.to.scene)) {
                        (Some(was), Some(now)) if was.name == now.name => None,
                        (was, now) => Some([was, now].map(|t| t.map_or("the treadle".to_owned(), |t| format!("`{}`", t.name)))),
                    };
                    let jumps = if let Some([was, now]) = other {
                        format!("from wherever {was} stands to wherever {now} stands")
                    } else if jumps.is_empty() { "to where the other treadle stands".to_owned() } else { jumps.join(", ") };
                    (
                        format!("`{b}` moves {what} otherwise than `{a}`: it jumps {jumps}"),
                        format!("decide where the foot starts in `{b}`, or move it alike in both"),
                    )
                }
            };
            let setting = format!("{}.{}", facts.device(device), control.name);
            let cells = facts.table.cells.of_control(device, number);
            let say = |scene: SceneId, value: &str| facts.in_scene(scene, &format!("{setting} {value}"), cells);
            let told = Diagnostic::new(at, says).other(facts.played(from.part).0, format!("from `{a}`"));
            let told = match jump.takes {
                Takes::Anywhere | Takes::Otherwise => told,
                Takes::From(start) => {
                    let told = told.way("", format!("hold {} in `{a}`", value(start)), say(from.scene, &value(start)));
                    let held = Row::of(facts.book, facts.table, change.to.scene).value(jump.port);
                    match held {
                        Value::FromHeel | Value::FromToe => {
                            let other = if held == Value::FromHeel { "foot from toe" } else { "foot from heel" };
                            told.way("", format!("say `{setting} {other}` in `{b}`"), say(change.to.scene, other))
                        }
                        _ => told,
                    }
                }
                Takes::GivesBack => {
                    let moved = matches!(Row::of(facts.book, facts.table, from.scene).value(jump.port), Value::Moved(_));
                    let told = match moved {
                        false => told.way("", format!("leave it to the foot in `{b}` too"), say(change.to.scene, "foot")),
                        true => told,
                    };
                    told.besides(format!("bring the treadle there by the end of `{a}`"))
                }
            };
            out.push(told.about(a).about(b).help(help));
        }
    }
}

/// The ends of a foot's way from which, or to which, a level leaps: not the one where it stands anyhow.
fn leaps(ends: [String; 2], stood: &str, between: &str) -> String {
    let ends = ends.into_iter().zip(["heel", "toe"]).filter(|(at, _)| at != stood);
    ends.map(|(at, end)| format!("{at} with the {end} down")).collect::<Vec<_>>().join(between)
}
