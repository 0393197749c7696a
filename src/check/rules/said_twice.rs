//! One fact said twice of one thing: two loops of a pedal, two switchers, two safe switches, two pulses of a contact.
//!
//! # On stage
//! One of the two is wrong, and the board is wired by the other. A preset pulses a contact once: the second pulse never comes.
//!
//! # Way out
//! Take one of the two out. A song that is tuned otherwise on the way says so at its parts: `outro: bed, tuning "open G"`.
//! Where a device has to be moved on by two, let two presets follow each other.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; loop 2 }
//! ```
//! ```scene
//! switcher { loops 2; loops 3 }
//! ```
//! ```scene
//! switcher { loops 2 }
//! switcher { loops 3 }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! scene bed { pulse remote 1 tip, remote 1 tip }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { tuning "drop D"; verse: bed; tuning "open G"; outro: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1; gain 3 dB stated }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! scene bed { pulse remote 1 tip, remote 1 ring }
//! song "Quay" { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        if let Fault::PulsedTwice { at, first } = fault {
            out.push(
                Diagnostic::new(*at, format!("`{}` is pulsed twice, and a preset pulses it once", facts.text(*at)))
                    .label("pulsed here again")
                    .other(*first, "pulsed here first")
                    .help("take one of the two out"),
            );
        }
        let Fault::SaidTwice { at, first } = fault else { continue };
        let says = facts.text(*at);
        let word = says.split_whitespace().next().unwrap_or(says);
        let mut told = Diagnostic::new(*at, format!("`{word}` is said twice"))
            .label("said here again")
            .other(*first, "said here first");
        if let Some((parts, edits)) = retuned(facts, *at) {
            told = told.way("", format!("say `{says}` at {parts}"), Some(edits));
        }
        out.push(
            told
                .way("", "take out the one that is said here again", facts.take_out(*at))
                .way("", "take out the first", facts.take_out(*first))
                .help("decide which of the two stands, and take the other out"),
        );
    }
}

/// A song that is tuned otherwise from here on: the parts below it, and what to write so that they say so.
fn retuned(facts: &Facts<'_>, at: Span) -> Option<(String, Vec<(Span, String)>)> {
    let says = facts.text(at);
    let below = |other: Span| other.file == at.file && other.start > at.start;
    let songs = facts.book.show.songs.iter().filter(|s| s.at.file == at.file && s.at.start < at.start);
    let song = songs.max_by_key(|s| s.at.start).filter(|_| says.starts_with("tuning "))?;
    let parts: Vec<_> = song.parts.iter().filter(|p| below(p.at) && p.besides().tuning.is_none()).collect();
    let names: Vec<&str> = parts.iter().map(|p| p.label.as_str()).collect();
    let end = |at: Span| Span { start: at.end, ..at };
    let mut edits: Vec<(Span, String)> = parts.iter().map(|p| (end(p.at), format!(", {says}"))).collect();
    edits.extend(facts.take_out(at)?);
    (!parts.is_empty()).then(|| (say::list(&names, "and"), edits))
}
