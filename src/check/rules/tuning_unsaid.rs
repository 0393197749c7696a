//! A song says how its guitar is tuned, and a part of it is played on another guitar, of which nobody says how.
//!
//! # On stage
//! The player takes the other guitar, and every chord is a wrong one.
//!
//! # Way out
//! Say it at the part: `bridge: lift, on arch, tuning "drop D"`; `tuning "standard"` is said so too.
//!
//! # Fires
//! ```scene
//! guitar slab
//! guitar arch
//! scene bed { mute }
//! song "Quay" on slab { tuning "drop D"; bed; bridge: bed, on arch }
//! ```
//! ```scene
//! guitar slab
//! guitar arch
//! scene bed { mute }
//! song "Quay" on slab { tuning "open G"; bed; bridge: bed, on arch; end: bed, on arch, tuning "standard" }
//! ```
//!
//! # Silent
//! ```scene
//! guitar slab
//! guitar arch
//! scene bed { mute }
//! song "Quay" on slab { tuning "drop D"; bed; bridge: bed, on arch, tuning "standard" }
//! song "Reef" on slab { bed; bridge: bed, on arch }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for song in &facts.book.show.songs {
        let Some(tuning) = &song.tuning else { continue };
        let unsaid = |part: &&crate::book::Part| part.besides().tuning.is_none() && !song.on_its_own(part);
        for part in song.parts.iter().filter(unsaid) {
            let Some(guitar) = part.besides().guitar.and_then(|g| facts.book.board.guitars.get(g.value)) else { continue };
            let name = &guitar.name;
            let message = format!(
                "`{}` of \"{}\" is played on `{name}`, and nobody says how that is tuned: \"{tuning}\" is said of the song's own guitar",
                part.label, song.title
            );
            let end = Span { start: part.at.end, ..part.at };
            let same = format!(", tuning \"{tuning}\"");
            out.push(
                Diagnostic::new(part.at, message)
                    .about(name)
                    .way("", format!("say `tuning \"{tuning}\"` at `{}`", part.label), Some(vec![(end, same)]))
                    .way("", format!("say `tuning \"standard\"` at `{}`", part.label), Some(vec![(end, ", tuning \"standard\"".to_owned())]))
                    .help("say at the part how the guitar is tuned"),
            );
        }
    }
}
