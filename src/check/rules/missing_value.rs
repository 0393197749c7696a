//! A value that nobody stated, without which no figure of level or treble can be given. Told once the book says how a
//! guitar's pickup sounds: from then on it is meant to be computed.
//!
//! # On stage
//! Nothing goes wrong by itself, but the scenes that pass through this device are not looked after: a lost treble or a
//! jump in level there is met on stage first.
//!
//! # Way out
//! State it as the papers of the device say, or measure it. Nothing is guessed.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; volume 500 kohm at 100 %; cable 4 m at 100 pF/m }
//! pedal ember { loop 1; input 1 Mohm; output 1 kohm }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { outputs 1 }
//! guitar plank { pickup 2.5 H, 7.5 kohm, 110 pF; cable 4 m at 100 pF/m }
//! amp larch { fed by output 1; input 1 Mohm }
//! chain front: guitar -> output 1 -> larch
//! patch leads 30 cm at 100 pF/m
//! scene bed { }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1 -> larch
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use std::collections::BTreeMap;

use crate::ids::DeviceId;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::source::Span;
use crate::study::route::leg_of;
use crate::study::signal::path::Missing;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if !facts.signal().wanted {
        return;
    }
    let book = facts.book;
    let guitar = |g: usize| book.board.guitars.get(g).filter(|g| !g.faulty).map(|g| (g.at, g.name.clone()));
    let device = |d: DeviceId| book.board.devices.get(d).filter(|d| !d.faulty).map(|d| (d.at, d.name.clone()));
    let chains = || book.board.chains.first().map(|c| (c.at, "chain".to_owned()));
    // By owner: what it lacks, as the statement begins, and a statement to copy.
    type Lack = (String, Vec<(String, String)>);
    let mut lacks: BTreeMap<Span, Lack> = BTreeMap::new();
    for missing in &facts.signal().missing {
        let (owner, word, sample) = match *missing {
            Missing::Pickup(g) => (guitar(g), "pickup", "pickup 2.5 H, 7.5 kohm, 110 pF"),
            Missing::Volume(g) => (guitar(g), "volume", "volume 500 kohm at 100 %"),
            Missing::Cable(g) => (guitar(g), "cable", "cable 6 m at 100 pF/m"),
            Missing::Input(d) => (device(d), "input", "input 1 Mohm"),
            Missing::Output(d) => (device(d), "output", "output 1 kohm"),
            Missing::Gain(d) => (device(d), "gain", "gain 0 dB measured"),
            Missing::Send(d) => (device(d), "send", "send 1 kohm"),
            Missing::Return(d) => (device(d), "return", "return 220 kohm"),
            Missing::Key(d) => (device(d), "key input", "key input 1 Mohm"),
            Missing::Leg(d, leg) => {
                let name = leg_of(&book.board, d, leg);
                if let Some((at, owner)) = device(d) {
                    let (word, sample) = (format!("level of leg `{name}`"), format!("leg {name} gain -6 dB"));
                    lacks.entry(at).or_insert_with(|| (owner, Vec::new())).1.push((word, sample));
                }
                continue;
            }
            Missing::Patch => (chains(), "patch leads", "patch leads 30 cm at 100 pF/m"),
            // An unknown cell is told where it arises.
            Missing::Loop(_) | Missing::Engaged(_) | Missing::Switched(_) | Missing::Moved(..) => continue,
            Missing::Circle => (chains(), "end: the chains run in a circle", "chain front: guitar -> loop 1 -> output 1"),
        };
        if let Some((at, name)) = owner {
            lacks.entry(at).or_insert_with(|| (name, Vec::new())).1.push((word.to_owned(), sample.to_owned()));
        }
    }
    for (at, (name, what)) in lacks {
        let words: Vec<&str> = what.iter().map(|(word, _)| word.as_str()).collect();
        let samples: Vec<&str> = what.iter().map(|(_, sample)| sample.as_str()).collect();
        let message = if name == "chain" {
            format!("the chains have no {}", words.join(" and no "))
        } else {
            format!("`{name}` has no {} stated", words.join(" and no "))
        };
        out.push(
            Diagnostic::new(at, message)
                .label("its figures stay empty")
                .help(format!("say it as its papers do, or measure it: such as {}", say::list(&samples, "and"))),
        );
    }
}
