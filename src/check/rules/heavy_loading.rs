//! An output that drives a load of less than ten times its own resistance, or more lead than it can.
//!
//! # On stage
//! A pedal that is weak at its output loses level into a low input, and treble into a long lead: in some scenes it
//! sounds as it should, in others dull and quiet, and it depends on what else is engaged.
//!
//! # Way out
//! Put a buffer right behind it, with a short lead between the two. Ten times is common practice, no source.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; input 150 kohm; output 100 kohm }
//! pedal prism { loop 2; input 500 kohm; output 1 kohm }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage ember, prism }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; input 150 kohm; output 100 kohm }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> cable 6 m at 100 pF/m -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm }
//! chain front: guitar -> loop 1 -> output 1
//! patch leads 30 cm at 100 pF/m
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; input 150 kohm; output 100 kohm }
//! buffer wick { input 1 Mohm; output 150 ohm }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> wick -> output 1 -> cable 6 m at 100 pF/m -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::source::Span;
use crate::study::signal::path::{From, To};
use crate::study::signal::words;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    for (heavy, how) in &facts.signal().heavy {
        let (at, name) = match heavy.from {
            From::Guitar(g) => book.board.guitars.get(g).map_or((Span::default(), ""), |g| (g.at, &g.name)),
            From::Device(d) | From::Send(d) | From::LegSend(d, _) => book.board.devices.get(d).map_or((Span::default(), ""), |d| (d.at, &d.name)),
            From::Buffer(_) => continue,
        };
        let (from, to) = (words::from(&book.board, heavy.from), words::loads(&book.board, &heavy.to));
        let (scene, count) = facts.signal().scenes(facts.book, &how.groups);
        let scene = facts.scene(scene);
        let also = if count > 1 { format!("in `{scene}` and {} more", count - 1) } else { format!("in `{scene}`") };
        let message = match how.corner {
            Some(hz) => format!("`{from}` drives too long a lead into `{to}` {also}: 3 dB are gone at {hz:.0} Hz"),
            None => format!("`{from}` is loaded heavily by `{to}` {also}: {:.1} dB are lost", how.loss.abs()),
        };
        let told = Diagnostic::new(at, message).about(name);
        // A buffer would stand where none may.
        let bare = |to: &To| {
            let device = if let To::Device(device) | To::Amp(device) = to { book.board.devices.get(*device) } else { None };
            device.filter(|d| d.electric.bare.is_some())
        };
        if let Some(bare) = heavy.to.iter().find_map(bare) {
            let says = format!("`{}` sees the bare guitar, and is meant to load it", bare.name);
            let allow = format!("say `allow heavy-loading {name} \"{} loads it\"`", bare.name);
            out.push(told.label(format!("{} drives {}: {says}", ohms(how.source), ohms(how.load))).besides(&allow).help(allow));
            continue;
        }
        out.push(
            told.label(format!("{} drives {}", ohms(how.source), ohms(how.load)))
                .help(format!("put a buffer right behind `{from}`, or let it drive ten times its own resistance or more")),
        );
    }
}

/// A resistance as people say it.
fn ohms(value: f64) -> String {
    match value {
        v if v.is_infinite() => "an open end".to_owned(),
        v if v >= 1e6 => format!("{} Mohm", (v / 1e4).round() / 100.0),
        v if v >= 1e3 => format!("{} kohm", (v / 1e2).round() / 10.0),
        v => format!("{} ohm", v.round()),
    }
}
