//! A level on the trim of an output that the unit cannot give it.
//!
//! # On stage
//! The loud song is as loud as the soft one: no preset stores what was meant to be evened out.
//!
//! # Way out
//! Say how fine the unit's trims are, in its description: `trims of 25 steps`. The trim belongs to the amp that its output
//! feeds, and there is one for each output.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! amp larch { fed by output 1; level trim on output 1 from -6 dB to 6 dB }
//! scene bed { larch.trim 0 dB }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2; trims of 25 steps }
//! amp larch { fed by output 1; level trim on output 2 from -6 dB to 6 dB }
//! scene bed { larch.trim 0 dB }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1; trims of 25 steps }
//! amp larch { fed by output 1; level trim on output 1 from -6 dB to 6 dB }
//! scene bed { larch.trim 0 dB }
//! song "Quay" { bed }
//! ```

use crate::book::Fault;
use crate::book::fault::NoTrim;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::TrimMisplaced { at, device, output, why } = fault else { continue };
        out.push(match why {
            NoTrim::Nowhere(switcher) => {
                Diagnostic::new(*at, format!("nobody said that the unit trims output {output}"))
                    .other(*switcher, "the unit is described here")
                    .help("say how many steps a trim of the unit has: `trims of 25 steps`, say")
            }
            NoTrim::NotFed => Diagnostic::new(*at, format!("output {output} does not feed `{device}`, so its trim does not move it"))
                .help(format!("take the trim of the output that feeds `{device}`: `fed by output {output}` would say it is this one")),
            NoTrim::Twice(first) => {
                Diagnostic::new(*at, format!("the trim of output {output} is taken"))
                    .other(*first, "this level is that trim")
                    .help("an output has one trim: keep one of the two levels")
            }
        });
    }
}
