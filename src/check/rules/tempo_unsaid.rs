//! A song without a tempo in which a pedal is heard that follows the clock, or that presets give their tempo in other songs.
//!
//! # On stage
//! No clock is set for the song: the pedal runs on at whatever it followed last. Where its preset gives it a tempo, that is
//! another song's.
//!
//! # Way out
//! Give the song its tempo, or say that it is meant: `allow tempo-unsaid DEVICE "free time"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal lag { loop 1; tempo by clock }
//! scene bed { engage lag }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! pedal lag { loop 1; tempo by clock }
//! amp left { fed by output 1 }
//! scene bed { engage lag }
//! scene hush from bed { mute }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" { hush; lift: bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal tide { loop 1; tempo by 3 pulses on remote 1 tip }
//! scene bed { engage tide }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal lag { loop 1; tempo by clock }
//! pedal ember { loop 2 }
//! scene bed { engage lag }
//! scene dirt { engage ember }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" { dirt }
//! if ember fails, dirt becomes bed
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1 }
//! pedal lag { loop 1; tempo by clock }
//! amp left { fed by output 1 }
//! scene bed { engage lag }
//! scene hush from bed { mute }
//! song "Quay" at 92 bpm { bed }
//! song "Mole" { hush }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal lag { loop 1; tempo by clock }
//! scene bed { engage lag }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::tempo;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (at, device, scene) in tempo::unsaid(facts.book, facts.table) {
        let Some((song, part)) = facts.book.show.part(at) else { continue };
        let (title, device) = (&song.title, facts.device(device));
        out.push(
            Diagnostic::new(song.at, format!("\"{title}\" says no tempo, and `{device}` follows the clock in it"))
                .other(part.at, format!("`{device}` is heard here{}", facts.standing_in(part, scene)))
                .about(device)
                .help("say its tempo behind its title, in bpm"),
        );
    }
    for (at, device, by, scene) in tempo::given::untimed(facts.book, facts.table) {
        let Some((song, part)) = facts.book.show.part(at) else { continue };
        let (title, device) = (&song.title, facts.device(device));
        let has = match by.and_then(|by| facts.book.show.songs.get(by)) {
            Some(by) => format!("has the tempo of \"{}\" in it", by.title),
            None => "keeps in it whatever tempo it had".to_owned(),
        };
        out.push(
            Diagnostic::new(song.at, format!("\"{title}\" says no tempo, and `{device}` {has}"))
                .other(part.at, format!("`{device}` is heard here{}", facts.standing_in(part, scene)))
                .about(device)
                .help(format!("say its tempo behind its title, in bpm, or `{device}.tempo` with a tempo or `stays` in the scene")),
        );
    }
}
