//! A scene in which a guitar's treble falls off half an octave or more below where it does on the guitar's own lead.
//!
//! # On stage
//! Every yard of lead that hangs on a pickup takes treble. The scene sounds dull beside the others, and no knob brings
//! back what is not there.
//!
//! # Way out
//! Put a buffer before the long leads, or shorten them: `tipring signal BOOK --buffers "4 kHz"` tries every place. How
//! much of a loss is too much is common practice, no source.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm; gain 0 dB }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> cable 15 m at 100 pF/m -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! scene dirt { engage ember }
//! song "Quay" on plank { verse: bed; chorus: dirt }
//! ```
//! ```scene
//! switcher { outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! amp larch { fed by output 1; input 22 kohm }
//! chain front: guitar -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! song "Quay" on plank { bed }
//! allow heavy-loading plank "the old amplifier"
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! buffer wick { input 1 Mohm; output 150 ohm; gain 0 dB }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> wick -> output 1 -> cable 15 m at 100 pF/m -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::signal::overview;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if !facts.signal().wanted {
        return;
    }
    for (id, guitars) in facts.book.show.scenes.ids().zip(overview::played(facts.book, facts.table)) {
        let Some(scene) = facts.book.show.scene(id).filter(|s| (!s.repeated || s.pressed != 0) && !s.faulty) else { continue };
        let lost = |g: &usize| facts.signal().treble_lost(id, *g).map(|hz| (*g, hz));
        let played = (0..facts.book.board.guitars.len().min(64)).filter(|g| guitars >> g & 1 == 1);
        let lost: Vec<(usize, f64)> = played.filter_map(|g| lost(&g)).collect();
        let Some((_, limit)) = lost.first() else { continue };
        let base = facts.book.show.base(id);
        if base != id && lost.iter().all(|(g, _)| facts.signal().treble_lost(base, *g).is_some()) {
            continue;
        }
        let names: Vec<&str> = lost.iter().filter_map(|(g, _)| Some(facts.book.board.guitars.get(*g)?.name.as_str())).collect();
        let message = format!("`{}` loses the treble of {}", scene.name, say::list(&names, "and"));
        let told = Diagnostic::new(scene.at, message).about(facts.scene(base));
        out.push(
            told.label(format!("3 dB are gone at {limit:.0} Hz, half an octave or more under where its own lead takes them"))
                .help("put a buffer before the long leads: `tipring signal BOOK --buffers \"4 kHz\"` tries every place"),
        );
    }
}
