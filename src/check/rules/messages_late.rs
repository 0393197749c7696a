//! A change whose messages take so long on the wire that a pedal is set later than the ear forgives.
//!
//! # On stage
//! The loops switch at once, and a pedal follows a moment later on its new program: the first note is heard twice over, in
//! the old sound and the new. A byte takes 0.32 ms on a MIDI line (MIDI 1.0 Detailed Specification, p. 1); what goes out as
//! a preset is left goes before what the next one sends. Two sounds more than about 20 ms apart are heard as two (common
//! practice, no source).
//!
//! # Way out
//! Let less go out as the preset before is left, above all no long texts; send them later instead. Or say that it is meant:
//! `allow messages-late SCENE "why"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; messages on leaving }
//! pedal gorge { loop 1; control memory on midi 2 programs from 1 { near: program 1; far: program 2 } }
//! listener deck {
//!   control tape on midi 6 messages, on leaving {
//!     halt: sysex "F0 7D 01 02 03 04 05 06 07 08 09 0A 0B 0C 0D 0E 0F 10 11 12 13 14 15 16 17 18 19 1A 1B 1C 1D 1E 1F 20 21 22 23 24 25 26 27 28 29 2A 2B 2C 2D 2E 2F 30 31 32 33 34 35 36 37 38 39 3A 3B 3C 3D F7"
//!   }
//! }
//! scene bed { deck.tape halt }
//! scene wash { engage gorge; gorge.memory near }
//! song "Quay" { bed; wash }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal gorge {
//!   loop 1
//!   control memory on midi 2 programs from 1 { near: program 1 bank 2 }
//!   control a on midi 2 cc 20 { on: value 127 }; control b on midi 2 cc 21 { on: value 127 }
//!   control c on midi 2 cc 22 { on: value 127 }; control d on midi 2 cc 23 { on: value 127 }
//!   control e on midi 2 cc 24 { on: value 127 }; control f on midi 2 cc 25 { on: value 127 }
//!   control g on midi 2 cc 26 { on: value 127 }; control h on midi 2 cc 27 { on: value 127 }
//!   control i on midi 2 cc 28 { on: value 127 }; control j on midi 2 cc 29 { on: value 127 }
//!   control k on midi 2 cc 30 { on: value 127 }; control l on midi 2 cc 31 { on: value 127 }
//!   control m on midi 2 cc 33 { on: value 127 }; control n on midi 2 cc 34 { on: value 127 }
//!   control o on midi 2 cc 35 { on: value 127 }; control p on midi 2 cc 36 { on: value 127 }
//!   control q on midi 2 cc 37 { on: value 127 }; control r on midi 2 cc 38 { on: value 127 }
//!   control s on midi 2 cc 39 { on: value 127 }
//! }
//! default {
//!   gorge.memory near; gorge.a on; gorge.b on; gorge.c on; gorge.d on; gorge.e on; gorge.f on; gorge.g on; gorge.h on
//!   gorge.i on; gorge.j on; gorge.k on; gorge.l on; gorge.m on; gorge.n on; gorge.o on; gorge.p on; gorge.q on; gorge.r on; gorge.s on
//! }
//! scene wash { engage gorge }
//! song "Quay" { wash }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; messages after up to 10 s }
//! pedal gorge { loop 1; control memory on midi 2 programs from 1 { near: program 1; far: program 2 } }
//! listener deck {
//!   control tape on midi 6 messages {
//!     halt: sysex "F0 7D 01 02 03 04 05 06 07 08 09 0A 0B 0C 0D 0E 0F 10 11 12 13 14 15 16 17 18 19 1A 1B 1C 1D 1E 1F 20 21 22 23 24 25 26 27 28 29 2A 2B 2C 2D 2E 2F 30 31 32 33 34 35 36 37 38 39 3A 3B 3C 3D F7"
//!   }
//! }
//! scene bed { engage gorge; gorge.memory far; deck.tape halt }
//! scene wash { engage gorge; gorge.memory near }
//! song "Quay" { bed; wash }
//! ```

use rustc_hash::FxHashMap;

use crate::ids::SceneId;
use crate::book::message::When;
use crate::book::{Control, State};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::bytes::Sent;
use crate::settle::Row;
use crate::study::messages::wire_us;

pub(super) const SEVERITY: Severity = Severity::Warning;

/// Two sounds further apart than this, in microseconds, are heard as two.
const HEARD_US: u64 = 20_000;

/// The slowest way into a scene: when its last pedal is set, in microseconds; the bytes that go out before, and of which scene.
#[derive(Clone, Copy, Default)]
struct Way {
    us: u64,
    before: usize,
    from: Option<SceneId>,
}

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    // Most boards cannot send so much: then no way is walked.
    if wire_us(most(facts)) <= HEARD_US {
        return;
    }
    // Of each scene: the bytes that go out as it is left, and those until the last that something sounding hears.
    let mut known: FxHashMap<SceneId, (usize, usize)> = FxHashMap::default();
    let mut bytes = |scene: SceneId| {
        *known.entry(scene).or_insert_with(|| {
            let row = Row::of(facts.book, facts.table, scene);
            let all = |sent: &[Sent]| sent.iter().map(|s| s.bytes().len()).sum::<usize>();
            let heard: Vec<Sent> = row.sent(When::Entering).into_iter().filter(|s| !s.silent).collect();
            (all(&row.sent(When::Leaving)), all(&heard))
        })
    };
    let mut worst: FxHashMap<SceneId, Way> = FxHashMap::default();
    for change in facts.walked() {
        let left = change.from.filter(|from| (from.scene, from.slot) != (change.to.scene, change.to.slot));
        let before = left.map_or(0, |from| bytes(from.scene).0);
        let heard = bytes(change.to.scene).1;
        let us = if heard == 0 { 0 } else { wire_us(before + heard) };
        let way = Way { us, before, from: left.filter(|_| before > 0).map(|from| from.scene) };
        let slowest = worst.entry(change.to.scene).or_default();
        if way.us > slowest.us {
            *slowest = way;
        }
    }
    let mut late: Vec<(SceneId, Way)> = worst.into_iter().filter(|(_, way)| way.us > HEARD_US).collect();
    late.sort_unstable_by_key(|(scene, _)| *scene);
    for (scene, Way { us, before, from }) in late {
        let (name, ms) = (facts.scene(scene), us as f64 / 1000.0);
        let message = format!("the last pedal that `{name}` sets by message is set {ms:.1} ms after the press");
        let mut told = Diagnostic::new(facts.scene_at(scene), message).about(name);
        if let Some(from) = from {
            let first = format!("{before} bytes go out first, as `{}` is left", facts.scene(from));
            told = told.other(facts.scene_at(from), first).about(facts.scene(from));
        }
        let allow = format!("say `allow messages-late {name} \"why\"`");
        let help = match from {
            Some(from) => format!("let less go out as `{}` is left, or later; or {allow}", facts.scene(from)),
            None => format!("let fewer messages go out at once; or {allow}"),
        };
        out.push(told.besides(&allow).help(help));
    }
}

/// The bytes that go out at most as one preset is left and another entered, whatever the scenes say.
fn most(facts: &Facts<'_>) -> usize {
    let bytes = |control: &Control| {
        let listed = |state: &State| state.messages.iter().map(|m| m.bytes(1).len()).sum::<usize>();
        // Two controllers choose a bank; then comes the program.
        control.states.iter().map(listed).max().unwrap_or(0).max(8)
    };
    let controls = facts.book.board.devices.iter().flat_map(|d| &d.controls);
    let sent = controls.filter(|c| c.how.channel().is_some() && !matches!(c.cue.when, When::After(_)));
    sent.map(bytes).sum()
}
