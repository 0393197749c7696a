//! More combinations of a helper's loops than it has presets.
//!
//! # On stage
//! Some scenes could call no preset of the helper: its loops would stay as the scene before left them.
//!
//! # Way out
//! Let scenes share what they engage there, put a pedal into a loop of the switcher itself, or say how many `presets` the
//! helper has. Each combination of its loops that a stored scene wants takes one preset.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..3 }
//! helper annex { loops 2; on midi 3 programs from 1; presets 2 }
//! pedal ember { loop 1 of annex }
//! pedal gully { loop 2 of annex }
//! scene bed {}
//! scene warm { engage ember }
//! scene wide { engage gully }
//! song "Quay" { bed; warm; wide }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1; banks 1..1, switches 1..3 }
//! helper annex { loops 2; on remote 1 tip }
//! pedal ember { loop 1 of annex }
//! pedal gully { loop 2 of annex }
//! scene bed {}
//! scene warm { engage ember }
//! scene wide { engage gully }
//! song "Quay" { bed; warm; wide }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1; banks 1..1, switches 1..3 }
//! helper annex { loops 3; on remote 1 }
//! pedal ember { loop 1 of annex }
//! pedal gully { loop 2 of annex }
//! scene bed {}
//! scene warm { engage ember }
//! scene wide { engage gully }
//! song "Quay" { bed; warm; wide }
//! ```

use crate::book::Fault;
use crate::check::say::joined;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many names are told; the rest are counted.
const TOLD: usize = 5;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.helpers_full() {
        let Fault::HelperFull { at, name, wanted, presets, left_out } = fault else { continue };
        let mut names: Vec<String> = left_out.iter().take(TOLD).map(|n| format!("`{n}`")).collect();
        if left_out.len() > TOLD {
            names.push(format!("{} more", left_out.len() - TOLD));
        }
        let has = if presets == 1 { "1 preset".to_owned() } else { format!("{presets} presets") };
        let says = format!(
            "`{name}` has {has}, and the scenes want {wanted} combinations of its loops: none is left for {}",
            joined(&names, "and")
        );
        out.push(Diagnostic::new(at, says).help(format!(
            "decide which scenes can engage the same loops of `{name}`, or sit a pedal in a loop of the switcher itself"
        )));
    }
}
