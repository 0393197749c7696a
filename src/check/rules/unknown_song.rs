//! A song title that no song has, or, behind `drop` and `after`, one that the set does not play.
//!
//! # On stage
//! The set would go on without the song, and the band finds out when the count-in comes.
//!
//! # Way out
//! Mend the title, or describe the song. Titles match without capitals and blanks.
//!
//! # Fires
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! set "one" { "Qay" }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "Reel" { bed }
//! set "one" { "Quay" }
//! set "two" from "one" { drop "Reel" }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "Reel" { bed }
//! set "one" { "Quay" after "Reel" }
//! ```
//!
//! # Silent
//! ```scene
//! scene bed { mute }
//! song "Quay" { bed }
//! song "Reel" { bed }
//! set "one" { "Quay"; "re el" after "QUAY" }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::book::Fault;
use crate::syntax::lexer::unquoted;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let lost = facts.book.broken || facts.taken().contains("song");
    for fault in facts.binding {
        let Fault::UnknownSong { at, near, listed } = fault else { continue };
        // What it names may stand in a line that could not be read, or under a title that is taken.
        if near.is_none() && lost {
            continue;
        }
        let title = unquoted(facts.text(*at));
        if *listed {
            out.push(
                Diagnostic::new(*at, format!("the set does not play `{title}` up to here"))
                    .help("name a song that stands in the set, in its own lines above or in the set that it is from"),
            );
            continue;
        }
        let told = Diagnostic::new(*at, format!("there is no song called `{title}`"));
        out.push(match near {
            Some(near) => {
                told.help(format!("did you mean `{near}`?")).fix(How::Name, format!("say `{near}`"), *at, format!("\"{near}\""))
            }
            None => {
                let line = format!("song \"{title}\"");
                told.way("", format!("describe it with `{line}`"), facts.at_end(*at, &format!("{line} {{ }}")))
                    .besides("name one that the book has")
                    .help("describe it and what it plays, or name one that the book has")
            }
        });
    }
}
