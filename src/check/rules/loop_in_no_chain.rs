//! A pedal that scenes engage, in a loop that no chain leads through.
//!
//! # On stage
//! The light of the loop goes on, and nothing changes: no lead brings the signal there.
//!
//! # Way out
//! Put the loop into the chain that it belongs to.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 3; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal gully { loop 3; always on }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```

use crate::ids::SceneId;
use crate::book::Device;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::settle::Answer;
use crate::source::Span;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.route().faulty || !facts.route().from_guitar {
        return;
    }
    let mut left_out: Vec<LeftOut<'_>> = Vec::new();
    for (device, number) in facts.book.board.devices.numbered() {
        let (place, at) = match (device.loop_at, device.engaged_by) {
            (Some(loop_at), _) => (Place::Loop(loop_at.value), loop_at.at),
            (None, Some(by)) => (Place::Device(number), by.at),
            _ => continue,
        };
        if facts.route().passes(place) {
            continue;
        }
        let engaged = facts.scenes_where(|row| row.sounds(number) == Answer::Yes);
        left_out.extend(engaged.map(|(scene, scenes)| LeftOut { device, at, scene, scenes }));
    }
    // Where a whole chain is missing, that is one mistake.
    let Some((first, more)) = left_out.split_first() else { return };
    let through = first.device.loop_at.map_or("it".to_owned(), |l| facts.book.board.loop_says(l.value));
    let message = format!("`{}` is engaged in {}, and no chain leads through {through}", first.device.name, first.scenes);
    let mut told = Diagnostic::new(first.at, message);
    if let Some(saying) = facts.engaged_by(first.scene, first.device) {
        told = told.other(facts.said_at(saying), "engaged by this");
    }
    for LeftOut { device, at, scenes, .. } in more {
        told = told.other(*at, format!("`{}`, engaged in {scenes}, stands in none either", device.name));
    }
    let link = |l: &LeftOut<'_>| l.device.loop_at.map_or(format!("`{}`", l.device.name), |at| format!("`{}`", facts.book.board.loop_says(at.value)));
    let all: Vec<String> = left_out.iter().map(link).collect();
    let (stand, them) = if all.len() == 1 { ("stands", "it") } else { ("stand", "them") };
    out.push(told.help(format!("decide where in a chain {} {stand}, and write {them} there", say::joined(&all, "and"))));
}

/// A device that is engaged and stands in no chain: where it is said how it is engaged, and the scenes.
struct LeftOut<'b> {
    device: &'b Device,
    at: Span,
    scene: SceneId,
    scenes: String,
}
