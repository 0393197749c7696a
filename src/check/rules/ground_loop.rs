//! Two things with an earth of their own, joined by the shields of leads with no isolated output between.
//!
//! # On stage
//! Both amplifiers hum as soon as both are plugged in, whatever is played.
//!
//! # Way out
//! Feed all but one of them from an isolated output, and say so: `isolated output 2` in the switcher.
//!
//! Never lift the safety earth of an amplifier: it is what keeps the strings from killing. Mains wiring is for licensed
//! people under local code.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 2 }
//! pedal ember { loop 1 }
//! amp larch { fed by output 1; earthed }
//! amp alder { fed by output 2; earthed }
//! default { output 1 on; output 2 on }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2, split after 1; outputs 2; isolated output 2 }
//! pedal ember { loop 1 }
//! pedal tide { loop 2 }
//! amp larch { fed by output 1; earthed }
//! amp alder { fed by output 2; earthed }
//! chain effects: alder send -> loop 2 -> alder return
//! default { output 1 on; output 2 on }
//! scene bed { engage ember, tide }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2; isolated output 2 }
//! pedal ember { loop 1 }
//! amp larch { fed by output 1; earthed }
//! amp alder { fed by output 2; earthed }
//! default { output 1 on; output 2 on }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::grounds;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let devices = &facts.book.board.devices;
    for set in grounds::loops(&facts.book.board, facts.route()) {
        let joined: Vec<_> = set.iter().filter_map(|d| devices.get(*d)).collect();
        let [first, .., last] = joined.as_slice() else { continue };
        let names: Vec<&str> = joined.iter().map(|d| d.name.as_str()).collect();
        let message = format!("{} are earthed, and their leads join their grounds", say::list(&names, "and"));
        out.push(
            Diagnostic::new(last.electric.earthed.unwrap_or(last.at), message)
                .other(first.electric.earthed.unwrap_or(first.at), "earthed too")
                .about(&*last.name)
                .help("feed all but one from an isolated output (`isolated output 2`); never lift the safety earth"),
        );
    }
}
