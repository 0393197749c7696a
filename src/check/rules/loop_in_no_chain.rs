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

use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Answer;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.route().faulty || !facts.route().from_guitar {
        return;
    }
    for device in &facts.book.board.devices {
        let Some(loop_at) = device.loop_at else { continue };
        let number = loop_at.value;
        let here = |(place, _): &(Place, usize)| *place == Place::Loop(number);
        if facts.route().chains.iter().flatten().any(here) {
            continue;
        }
        let Some((scene, scenes)) = facts.scenes_where(|row| row.engaged(number) == Answer::Yes) else { continue };
        let name = &device.name;
        let mut told = Diagnostic::new(loop_at.at, format!("{scenes} engages `{name}`, and no chain leads through loop {number}"));
        if let Some(saying) = facts.engaged_by(scene, device) {
            told = told.other(facts.said_at(saying), "engaged by this");
        }
        out.push(told.help(format!("put `loop {number}` into the chain that `{name}` stands in")));
    }
}
