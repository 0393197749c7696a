//! Two parts of a song, one after the other, whose levels lie further apart than the book's limit.
//!
//! # On stage
//! The player steps on a switch and the sound jumps, or drops away, in the middle of a song.
//!
//! # Way out
//! Set the gains closer, or say that it should jump: `allow level-step FROM to TO "why"`. The levels are those at 1 kHz
//! on the song's guitar, before what the amplifier itself does. Without a line such as `limit level step 6 dB` no step
//! is too much.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 9 dB measured }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! limit level step 6 dB
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain -5 dB stated }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! limit level step 3 dB
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 9 dB measured }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! limit level step 12 dB
//! ```

use rustc_hash::FxHashSet;

use super::{Diagnostic, Facts, Severity};
use crate::book::amount;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let Some(limit) = book.limit_step else { return };
    let most = limit.value.value();
    let mut told = FxHashSet::default();
    for song in &book.songs {
        let guitars = match song.guitar {
            Some(guitar) => guitar..guitar + 1,
            None => 0..book.guitars.len(),
        };
        for (from, to) in song.parts.iter().zip(song.parts.iter().skip(1)) {
            let (Some(a), Some(b)) = (from.scene, to.scene) else { continue };
            for guitar in guitars.clone() {
                let levels = facts.signal.level(a, guitar).zip(facts.signal.level(b, guitar));
                let Some((before, after)) = levels else { continue };
                let step = after - before;
                // Only a step that is told rounds to more than the limit.
                if step.abs() <= most + 0.005 || !told.insert((a, b, guitar)) {
                    continue;
                }
                let (one, two) = (facts.scene(a), facts.scene(b));
                let played = book.guitars.get(guitar).map_or("", |g| g.name.as_str());
                let way = if step > 0.0 { "jumps up" } else { "drops" };
                let message =
                    format!("from `{one}` to `{two}` the level {way} by {:.1} dB on `{played}`", step.abs());
                out.push(
                    Diagnostic::new(to.at, message)
                        .about(one)
                        .about(two)
                        .other(limit.at, format!("no more than {} is wanted", amount::show(limit.value)))
                        .help(format!("set the gains closer, or say `allow level-step {one} to {two} \"why\"`")),
                );
            }
        }
    }
}
