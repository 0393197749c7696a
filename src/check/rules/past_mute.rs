//! An amplifier that a chain reaches past the switcher's outputs, so that turning them off does not silence it.
//!
//! # On stage
//! The player presses silence between two songs, tunes, and the room hears it.
//!
//! # Way out
//! Lead the chain through an output, and let that output feed the amplifier: outputs are what `mute` turns off.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> alder
//! scene bed { engage ember }
//! scene hush { mute }
//! song "Quay" on plank { bed; hush }
//! ```
//! ```scene
//! switcher { loops 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch
//! chain front: guitar -> loop 1 -> larch
//! scene bed { engage ember }
//! scene hush { mute }
//! song "Quay" on plank { bed; hush }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! amp larch { fed by output 1 }
//! amp alder { fed by output 2 }
//! chain front: guitar -> loop 1 -> output 1
//! chain side: loop 1 -> output 2 -> alder
//! scene bed { engage ember }
//! scene hush { mute }
//! song "Quay" on plank { bed; hush }
//! ```

use crate::ids::DeviceId;
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::{Answer, Row};
use crate::source::Span;
use crate::study::loose;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    if facts.route().faulty || !facts.route().from_guitar {
        return;
    }
    // Where a lead finds its jack taken, it may lead elsewhere.
    if !loose::doubled(&facts.book.board, facts.route()).is_empty() {
        return;
    }
    let book = facts.book;
    for amp in facts.route().past_outputs(&book.board) {
        let Some(device) = book.board.devices.get(amp).filter(|d| !d.faulty) else { continue };
        let silent = |row: &Row<'_>| match device.fed_by {
            Some(_) => row.fed(amp) == Answer::No,
            None => row.muted(),
        };
        let Some((scene, scenes)) = facts.scenes_where(silent) else { continue };
        let Some((chain, at)) = lead(facts, amp) else { continue };
        let name = &device.name;
        let meant = device.fed_by.map_or("which is meant to be silent".to_owned(), |fed| format!("where output {} is off", fed.value));
        let mut told = Diagnostic::new(at, format!("`{name}` sounds in {scenes}, {meant}"))
            .label(format!("`{chain}` comes here past every output"));
        told = told.other(facts.scene_at(scene), "meant to be silent");
        let outputs = book.board.switcher.as_ref().map_or(0, |s| s.outputs);
        let feeds = |n: &u16| book.board.devices.iter().any(|d| d.fed_by.is_some_and(|f| f.value == *n));
        out.push(told.help(match (device.fed_by, (1..=outputs).find(|n| !feeds(n))) {
            (Some(fed), _) => format!("only what an output feeds can be silenced: decide where `{chain}` goes through output {}", fed.value),
            (None, Some(n)) => format!("only what an output feeds can be silenced: decide which one `{chain}` goes through; output {n} is free"),
            (None, None) => format!("only what an output feeds can be silenced: lead `{chain}` through an output of the switcher"),
        }));
    }
}

/// The chain that reaches an amp, one without an output of its own before any other, and the link where it does.
fn lead(facts: &Facts<'_>, amp: DeviceId) -> Option<(String, Span)> {
    let chains = facts.book.board.chains.iter().zip(&facts.route().chains);
    let reaching = chains.filter_map(|(chain, along)| {
        let reached = along.iter().position(|(p, _)| matches!(p, Place::Amp(a) | Place::Return(a) if *a == amp))?;
        let closed = along.iter().take(reached).any(|(p, _)| match p {
            Place::Output(output) => !facts.route().watched.contains(output),
            place => matches!(place, Place::Send(_)),
        });
        let link = along.get(reached).and_then(|(_, link)| chain.links.get(*link))?;
        Some((closed, chain.name.clone(), link.at))
    });
    reaching.min_by_key(|(closed, _, at)| (*closed, *at)).map(|(_, name, at)| (name, at))
}
