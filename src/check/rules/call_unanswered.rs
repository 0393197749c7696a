//! A song or a part that is called from outside, on a switcher of which nobody says what it answers to, or which banks and
//! switches it has.
//!
//! # On stage
//! The computer sends, and the switcher stays where it is; nobody has a foot ready, as the sheet would say that none is
//! needed. Without banks and switches nobody knows which program calls which preset.
//!
//! # Way out
//! Say in `switcher` what it answers to, as the unit has it: `answers midi 1 programs from 1`. Or leave `called from outside`
//! out: then the foot presses, and the sheet says so.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm {}
//! song "Quay" { bed; lift: calm, called from outside }
//! song "Mole" { bed, called from outside }
//! slots { others auto }
//! ```
//!
//! ```scene
//! switcher { loops 1; answers midi 1 programs from 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4; answers midi 1 programs from 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! slots { others auto }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..4 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed, by foot }
//! slots { others auto }
//! ```

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    // Of a switcher that is not there, or could not be read, nobody knows what it answers to.
    let Some(switcher) = facts.book.board.switcher.as_ref().filter(|s| !s.faulty) else { return };
    let (says, help) = match (switcher.answers, switcher.slots) {
        (Some(_), Some(_)) => return,
        (None, _) => (
            "nothing says what the switcher answers to",
            "say in the switcher's block which programs it answers to, in the form `answers midi 1 programs from 1`",
        ),
        (Some(_), None) => (
            "the switcher says no banks and switches, so that no program is any preset's",
            "say in the switcher's block which banks and switches it has, in the form `banks 1..8, switches 1..5`",
        ),
    };
    let songs = facts.book.show.songs_by_name();
    let called = songs.iter().filter_map(|song| Some((song, song.parts.iter().find_map(|part| part.besides().called)?)));
    let called: Vec<_> = called.collect();
    let Some((song, at)) = called.first() else { return };
    let title = &song.title;
    let who = match called.len() {
        1 => format!("\"{title}\" is called from outside"),
        2 => format!("\"{title}\" and another song are called from outside"),
        n => format!("\"{title}\" and {} other songs are called from outside", n - 1),
    };
    out.push(
        Diagnostic::new(*at, format!("{who}, and {says}: the foot must press"))
            .other(switcher.at, "the switcher is described here")
            .help(help),
    );
}
