//! A pedal that is tapped in one song, and heard at that tempo in another.
//!
//! # On stage
//! The repeats of the last song run through this one, beside the beat, until somebody bends down to tap. A preset that sends the
//! pedal a program brings whatever tempo that program has: then nothing is known, and nothing told.
//!
//! # Way out
//! Tap it in the first part of the song in which it is heard, or in one before, or say that it is meant:
//! `allow tempo-stale DEVICE "a wash, no beat"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot }
//! scene bed { engage tide }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { bed }
//! set "night" { "Quay"; "Mole" }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot }
//! scene bed { engage tide }
//! scene dry { mute }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { dry }
//! song "Weir" at 120 bpm { dry; bed; lift: bed, tap tide eighth }
//! set "night" { "Quay"; "Mole"; "Weir" }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot }
//! scene bed { engage tide }
//! scene dry { mute }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { dry }
//! song "Weir" at 92 bpm { bed }
//! song "Lock" at 120 bpm { dry, tap tide eighth; bed }
//! set "night" { "Quay"; "Mole"; "Weir"; "Lock" }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal tide { loop 1; tap by foot; control memory on midi 2 programs from 1 { slap: program 1; long: program 2 } }
//! scene bed { engage tide; tide.memory slap }
//! scene wide { engage tide; tide.memory long }
//! song "Quay" at 92 bpm { bed, tap tide quarter }
//! song "Mole" at 140 bpm { wide }
//! set "night" { "Quay"; "Mole" }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::tempo;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for found in tempo::stale(facts.book, facts.table) {
        let songs = &facts.book.show.songs;
        let (Some(song), Some(before)) = (songs.get(found.heard.0), songs.get(found.tapped.0)) else { continue };
        let (Some(part), Some(tapped)) = (song.parts.get(found.heard.1), before.parts.get(found.tapped.1)) else { continue };
        let device = facts.device(found.device);
        let says = format!(
            "\"{}\" is at {} bpm, and `{device}` still repeats at the {} bpm of \"{}\"",
            song.title, song.tempo_text, before.tempo_text, before.title
        );
        out.push(
            Diagnostic::new(part.at, says)
                .label(format!("`{device}` is heard here"))
                .other(tapped.at, "tapped here")
                .about(device)
                .help(format!("say `tap {device} {}` in this part, or in one before it, with the note value that is wanted", found.value)),
        );
    }
}
