//! Two levels on one expression port that do not both say `shared`, or that sound at the same time.
//!
//! # On stage
//! The port holds one position for both: to set one pedal's depth is to move the other pedal's mix.
//!
//! # Way out
//! Put one of them on another expression port, or on a MIDI controller. Where the two never sound together, say `shared` of both,
//! and in each scene the value of the one that sounds.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 1 from 0 % to 100 % }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal haze {
//!   loop 1
//!   level blend on expression 1 from 0 % to 100 %
//!   level time on expression 1 from 20 ms to 600 ms
//! }
//! ```
//! ```scene
//! switcher { loops 2; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 shared from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 1 shared from 0 % to 100 % }
//! scene bed { engage throb; throb.depth 20 % }
//! scene wash from bed { engage haze }
//! song "Quay" { bed; wash }
//! ```
//! ```scene
//! switcher { loops 2; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 shared from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 1 shared from 0 % to 100 % }
//! scene bed { engage throb; throb.depth 20 % }
//! scene wash from bed { bypass throb; engage haze }
//! song "Quay" { bed; wash }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 2 from 0 % to 100 % }
//! ```
//! ```scene
//! switcher { loops 2; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 shared from 0 % to 60 % }
//! pedal haze { loop 2; level blend on expression 1 shared from 0 % to 100 % }
//! scene bed { engage throb; throb.depth 20 % }
//! scene wash from bed { bypass throb; engage haze; haze.blend 70 % }
//! song "Quay" { bed; wash }
//! ```

use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::{Fault, How, What};
use crate::settle::why::reasons;
use crate::settle::{Answer, Row};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::PortShared { at, first, port } = fault else { continue };
        let level = |at| facts.control_at(at, |how| matches!(how, How::Port { port: p, .. } if p == port));
        let (one, two) = (level(*first), level(*at));
        out.push(
            Diagnostic::new(*at, format!("{two} moves with expression {port}, and so does {one}"))
                .label(format!("the second level on expression {port}"))
                .other(*first, "the first")
                .help("put one of the two on another expression port, or on a midi controller; if they never sound together, say `shared` of both"),
        );
    }
    let ports = facts.table.cells.list.numbered().filter(|(cell, _)| cell.users.len() > 1);
    for (cell, column) in ports {
        let shared = |(device, control): &(DeviceId, ControlId)| {
            facts.control(*device, *control).is_some_and(|c| matches!(c.how, How::Port { shared: true, .. }))
        };
        if cell.users.iter().all(shared) {
            on_one_port(facts, column, &cell.users, out);
        }
    }
}

/// Scenes in which a level of a shared port has what was said of another: both sound, or the one that sounds is not spoken of.
fn on_one_port(facts: &Facts<'_>, column: ColumnId, users: &[(DeviceId, ControlId)], out: &mut Vec<Diagnostic>) {
    let name = |(device, control): (DeviceId, ControlId)| {
        format!("`{}` {}", facts.device(device), facts.control(device, control).map_or("?", |c| &c.name))
    };
    let place = facts.table.cells.list.get(column).map_or("", |c| &c.name).replace('-', " ");
    for (scene, id) in facts.book.show.scenes.numbered().filter(|(s, _)| !s.faulty && !s.repeated) {
        let row = Row::of(facts.book, facts.table, id);
        let sounding: Vec<(DeviceId, ControlId)> =
            users.iter().copied().filter(|(device, _)| row.sounds(*device) == Answer::Yes).collect();
        if let [one, two, ..] = sounding.as_slice() {
            let told = format!("`{}` has {} and {} on {place} at the same time: both move with it", scene.name, name(*one), name(*two));
            out.push(
                Diagnostic::new(scene.at, told)
                    .about(scene.name.as_str())
                    .help("let only one of the two sound here, or put one of them on another expression port"),
            );
            continue;
        }
        let [one] = sounding.as_slice() else { continue };
        let said = reasons(facts.book, facts.table, id, column).into_iter().filter(|r| r.live);
        let of = |what| match what {
            What::Level { device, control, .. } | What::Moves { device, control, .. } | What::Stays { device, control } => {
                Some((device, control))
            }
            _ => None,
        };
        let said: Vec<_> = said.filter_map(|r| Some((r.at, of(facts.saying(r.saying)?.what)))).collect();
        // What is said of the port itself is said of all that hangs on it.
        let spoken = said.iter().any(|(_, level)| level.is_none() || *level == Some(*one));
        let other = said.into_iter().find_map(|(at, level)| Some((at, level?))).filter(|_| !spoken);
        if let Some((at, level)) = other {
            let told = format!("`{}` says nothing of {}: on {place} it gets what was said of {}", scene.name, name(*one), name(level));
            out.push(
                Diagnostic::new(scene.at, told)
                    .other(at, "said here")
                    .about(scene.name.as_str())
                    .help(format!("what {} is to hold has to stand in `{}`", name(*one), scene.name)),
            );
        }
    }
}
