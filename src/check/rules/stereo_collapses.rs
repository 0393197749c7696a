//! A pedal with two sides, behind which the path has only one.
//!
//! # On stage
//! The two sides are thrown together: what was wide becomes narrow, and what stood in opposite phase cancels.
//!
//! # Way out
//! Move the pedal behind what has one side, make the rest of the path stereo, or plug both sides of the return:
//! `larch return left, right`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal tide { loop 1 stereo }
//! pedal attic { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage tide, attic }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal tide { loop 1 stereo }
//! amp larch { fed by output 1 }
//! chain front: guitar -> output 1
//! chain effects: larch send -> loop 1 -> larch return
//! scene bed { engage tide }
//! song "Quay" on plank { bed }
//! ```
//!
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal tide { loop 1 stereo }
//! pedal attic { loop 2 stereo }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> loop 2 -> larch return left, right
//! scene bed { engage tide, attic }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; outputs 2 }
//! guitar plank
//! pedal tide { loop 1 stereo }
//! pedal attic { loop 2 stereo }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> loop 2 -> larch return
//! chain side: loop 2 -> output 2
//! scene bed { engage attic }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 2; outputs 2 }
//! guitar plank
//! pedal tide { loop 1 stereo }
//! pedal gully { loop 2 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain effects: larch send -> loop 2 -> larch return
//! chain side: loop 1 -> output 2
//! scene bed { engage tide, gully }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal tide { loop 1 stereo }
//! amp larch { fed by output 1 }
//! chain front: guitar -> output 1
//! chain effects: larch send -> loop 1 -> larch return left, right
//! scene bed { engage tide }
//! song "Quay" on plank { bed }
//! ```

use crate::ids::DeviceId;
use crate::check::{Diagnostic, Facts, Severity};
use crate::study::signal::overview::OneSided;
use crate::study::signal::path::To;
use crate::study::signal::words;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for ((device, by), groups) in &facts.signal().collapses {
        let Some(stereo) = book.board.devices.get(*device) else { continue };
        let name = |d: DeviceId| book.board.devices.get(d).map_or("", |d| &d.name);
        let (stereo_name, says) = (&stereo.name, "if one of its sides alone is plugged, take `stereo` off it");
        let (by, help) = match by {
            OneSided::Device(d) => {
                let by = name(*d);
                (by.to_owned(), format!("move `{stereo_name}` behind `{by}`, or go on with both sides to the end"))
            }
            OneSided::End(to @ To::Return(amp)) => {
                let plug = format!("plug both sides, where it has two, as in `{} return left, right`", name(*amp));
                (words::to(&book.board, *to), format!("{plug}; {says}"))
            }
            OneSided::End(to) => {
                let by = words::to(&book.board, *to);
                (by, format!("bring its other side to an amplifier or a box of its own; {says}"))
            }
        };
        let at = stereo.loop_at.map_or(stereo.at, |l| l.at);
        let message = format!("the two sides of `{}` become one at `{by}` in {}", stereo.name, facts.sounding(groups));
        out.push(Diagnostic::new(at, message).about(&*stereo.name).help(help));
    }
}
