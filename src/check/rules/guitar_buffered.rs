//! A pedal that must see the bare guitar, behind something that drives it instead.
//!
//! # On stage
//! It plays on the guitar's own coil and volume control. Behind a buffer or another pedal it turns thin or wild, and the
//! volume control no longer cleans it up.
//!
//! # Way out
//! Put it before what drives it, or bypass that in the scenes that are told.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal prism { loop 1 }
//! pedal ember { loop 2; sees bare guitar }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage ember }
//! scene lift { engage ember, prism }
//! song "Quay" on plank { bed; lift }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! buffer wick
//! pedal ember { loop 1; sees bare guitar }
//! amp larch { fed by output 1 }
//! chain front: guitar -> wick -> loop 1 -> output 1
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; sees bare guitar }
//! pedal prism { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage ember, prism }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::signal::words;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for ((device, from), groups) in &facts.signal().buffered {
        let Some(pedal) = board.devices.get(*device) else { continue };
        let by = words::from(board, *from);
        let message = format!("`{}` must see the bare guitar, and `{by}` drives it in {}", pedal.name, facts.sounding(groups));
        out.push(
            Diagnostic::new(pedal.electric.bare.unwrap_or(pedal.at), message)
                .about(&*pedal.name)
                .help(format!("decide whether `{}` goes before `{by}`, or `{by}` is left out there", pedal.name)),
        );
    }
}
