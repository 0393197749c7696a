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

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::settle::Answer;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.route().faulty || !facts.route().from_guitar {
        return;
    }
    let mut left_out = Vec::new();
    for device in &facts.book.board.devices {
        let Some(loop_at) = device.loop_at.filter(|l| !facts.route().passes(Place::Loop(l.value))) else { continue };
        let engaged = facts.scenes_where(|row| row.engaged(loop_at.value) == Answer::Yes);
        left_out.extend(engaged.map(|scenes| (device, loop_at, scenes)));
    }
    // Where a whole chain is missing, that is one mistake.
    let Some((first, loop_at, (scene, scenes))) = left_out.first() else { return };
    let name = &first.name;
    let mut told = Diagnostic::new(loop_at.at, format!("`{name}` is engaged in {scenes}, and no chain leads through loop {}", loop_at.value));
    if let Some(saying) = facts.engaged_by(*scene, first) {
        told = told.other(facts.said_at(saying), "engaged by this");
    }
    for (device, loop_at, (_, scenes)) in left_out.iter().skip(1) {
        told = told.other(loop_at.at, format!("`{}`, engaged in {scenes}, stands in none either", device.name));
    }
    let all: Vec<String> = left_out.iter().map(|(_, l, _)| format!("`loop {}`", l.value)).collect();
    let into = if all.len() == 1 { "into the chain that it stands in" } else { "into the chain that they stand in" };
    out.push(told.help(format!("put {} {into}", say::joined(&all, "and"))));
}
