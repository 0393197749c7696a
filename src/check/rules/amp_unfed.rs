//! An amplifier that is fed by an output to which no chain leads.
//!
//! # On stage
//! It stands there, switched on and warm, and nothing comes out of it all night.
//!
//! # Way out
//! Let a chain end at that output, or say which output feeds the amplifier.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::loose;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.route().faulty || !facts.route().from_guitar {
        return;
    }
    let route = facts.route();
    // What ends too early, or in a jack that is taken, may be what is wanted there.
    if loose::ends(facts.book, route).iter().any(|end| !end.start) || !loose::doubled(&facts.book.board, route).is_empty() {
        return;
    }
    for (number, amp) in facts.book.board.devices.pairs() {
        let Some(fed) = amp.fed_by else { continue };
        let output = Place::Output(fed.value);
        // Another lead may reach it past that output: whether `mute` still silences it is asked elsewhere.
        let otherwise = route.edges.iter().any(|e| e.to == Place::Amp(number) && e.from != output);
        if otherwise || route.arrives(output) {
            continue;
        }
        let (name, output) = (&amp.name, fed.value);
        out.push(
            Diagnostic::new(fed.at, format!("output {output} feeds `{name}`, and no chain leads to output {output}"))
                .help(format!("let a chain end in `-> output {output}`, or say which output feeds `{name}`")),
        );
    }
}
