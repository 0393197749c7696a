//! A song whose parts do not last as long as the song is said to.
//!
//! # On stage
//! The set runs over, or ends early, by what nobody counted.
//!
//! # Way out
//! Mend the length of the song or of a part, or leave the song's out: its parts are added up.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song "Quay" { lasts 4:10; verse: bed, lasts 1:30, times 2; outro: bed, lasts 0:40 }
//! ```
//!
//! ```scene
//! scene bed { mute }
//! song "Mole" { lasts 0:30; bed, lasts 0:31 }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay" { lasts 3:40; verse: bed, lasts 1:30, times 2; outro: bed, lasts 0:40 }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Mole" { lasts 4:10; verse: bed, lasts 1:30; outro: bed }
//! ```

use crate::book::song::show_length;
use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::kind::Kind;
use crate::study::length;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for song in &facts.book.show.songs {
        let (Some(said), Some(parts)) = (song.music.lasts, length::of_parts(song)) else { continue };
        if u64::from(said.value) != parts {
            let (said_text, parts) = (show_length(u64::from(said.value)), show_length(parts));
            out.push(
                Diagnostic::new(said.at, format!("\"{}\" lasts {said_text}, its parts {parts}", song.title))
                    .way("", format!("say `lasts {parts}`"), facts.in_block_as(said.at, Kind::Lasts, &format!("lasts {parts}")))
                    .besides("leave it out: the parts are added up")
                    .help("decide which of the two is right"),
            );
        }
    }
}
