//! A change in the middle of a song that runs through two banks or more.
//!
//! # On stage
//! Every bank is a press of its own, and the sound stays the old one until the last of them. At two banks the first beat
//! of the part is gone.
//!
//! # Way out
//! Pin the scenes of one song into one bank, in `slots`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..4, switches 1..1; presses: same bank 1, bank step 1 }
//! pedal ember { loop 1 }
//! scene bed { mute }
//! scene storm { engage ember }
//! song "Quay" { verse: bed; chorus: storm }
//! slots { 1.1 bed; 4.1 storm }
//! ```
//! ```scene
//! switcher { loops 1; banks 0..2, switches A..B }
//! pedal ember { loop 1 }
//! scene bed { mute }
//! scene storm { engage ember }
//! song "Quay" { verse: bed; chorus: storm }
//! slots { 0A bed; 2A storm }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..4, switches 1..1; presses: same bank 1, bank step 1 }
//! pedal ember { loop 1 }
//! scene bed { mute }
//! scene storm { engage ember }
//! song "Quay" { verse: bed; chorus: storm }
//! slots { 1.1 bed; 2.1 storm }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

/// Banks that a foot does not pass in time.
const FAR: u32 = 2;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(range) = facts.book.board.switcher.as_ref().and_then(|s| s.slots) else { return };
    for change in facts.changes().filter(|c| c.inside && c.banks >= FAR) {
        let Some((from, here, there)) = change.from.and_then(|f| Some((f, f.slot?, change.to.slot?))) else { continue };
        let (at, _) = facts.played(change.to.part);
        let (a, b) = (facts.scene(from.scene), facts.scene(change.to.scene));
        let presses = change.presses.map_or(String::new(), |n| format!(": {n} presses"));
        out.push(
            Diagnostic::new(
                at,
                format!("from `{a}` ({}) to `{b}` ({}) is {} banks{presses}", range.show(here), range.show(there), change.banks),
            )
            .other(facts.played(from.part).0, format!("from `{a}`, in the same song"))
            .about(a)
            .about(b)
            .help(format!("give `{a}` and `{b}` switches of one bank in `slots`")),
        );
    }
}
