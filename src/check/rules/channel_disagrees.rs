//! A scene that sends two devices on a shared MIDI channel two different messages of one kind.
//!
//! # On stage
//! Each hears what is meant for the other, and both end up with the one that was sent last.
//!
//! # Way out
//! Ask both for states of the same program, leave one of the two as it is (`attic.room stays`), or give each a channel of
//! its own.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1; control memory on midi 1 programs from 1 shared { slap: program 1; long: program 2 } }
//! pedal attic { loop 2; control room on midi 1 programs from 1 shared { small: program 1; hall: program 2 } }
//! scene bed { engage gully, attic; gully.memory slap; attic.room hall }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1; level blend on midi 1 cc 20 shared from 0 % to 100 % }
//! pedal attic { loop 2; level size on midi 1 cc 20 shared from 0 % to 100 % }
//! scene bed { engage gully, attic; gully.blend 50 %; attic.size 0 % }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! What nobody hears is not sent:
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1; level blend on midi 1 cc 20 shared from 0 % to 100 % }
//! pedal attic { loop 2; level size on midi 1 cc 20 shared from 0 % to 100 % }
//! default { attic.size 0 % }
//! scene bed { engage gully; gully.blend 50 % }
//! scene both from bed { engage attic; attic.size 50 % }
//! song "Quay" { bed; both }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1; control memory on midi 1 programs from 1 shared { slap: program 1; long: program 2 } }
//! pedal attic { loop 2; control room on midi 1 programs from 0 shared { small: program 0; hall: program 1 } }
//! scene bed { engage gully, attic; gully.memory slap; attic.room small }
//! scene calm { engage gully; gully.memory long }
//! song "Quay" { bed; calm }
//! ```

use crate::book::{Control, How};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::bytes::{Message, Sent};
use crate::settle::{Answer, Row};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let shared = |c: &Control| {
        matches!(
            c.how,
            How::Programs { shared: true, .. }
                | How::Cc { shared: true, .. }
                | How::CcStates { shared: true, .. }
                | How::Messages { shared: true, .. }
        )
    };
    if !book.board.devices.iter().flat_map(|d| &d.controls).any(shared) {
        return;
    }
    let listens = |sent: &Sent| facts.control(sent.control.0, sent.control.1).is_some_and(shared);
    for (scene, id) in book.show.scenes.numbered().filter(|(s, _)| !s.faulty && !s.repeated) {
        let row = Row::of(book, facts.table, id);
        let sent: Vec<Sent> = row.bytes().into_iter().filter(listens).collect();
        let heard = |s: &Sent| {
            let silent = book.board.devices.get(s.control.0).is_some_and(|d| d.listens());
            silent || row.sounds(s.control.0) == Answer::Yes
        };
        let clash = sent.iter().enumerate().find_map(|(nth, second)| {
            let clashes = |first: &&Sent| clash(first, second) && (heard(first) || heard(second));
            Some((sent.iter().take(nth).find(clashes)?, second))
        });
        let Some((first, second)) = clash else { continue };
        let (one, two) = (named(facts, first), named(facts, second));
        let mut told = Diagnostic::new(
            scene.at,
            format!("`{}` sends {one} and {two} different messages on one channel, and both hear both", scene.name),
        );
        for sent in [first, second] {
            let cell = facts.table.cells.of_control(sent.control.0, sent.control.1).first();
            if let Some(saying) = cell.and_then(|c| facts.spoken(id, *c)) {
                told = told.other(facts.said_at(saying), format!("said of {}", named(facts, sent)));
            }
        }
        let silent = if heard(second) && !heard(first) { &one } else { &two };
        let of = if silent == &one { first.control } else { second.control };
        let say = format!("{} stays", silent.trim_matches('`'));
        let edits = facts.in_scene(id, &say, facts.table.cells.of_control(of.0, of.1));
        let both = "ask both for the same";
        out.push(told.way("", format!("leave one as it is in `{}`: `{say}`", scene.name), edits).besides(both).help(both));
    }
}

/// Two devices on one channel are sent different programs, or different values of one controller.
fn clash(first: &Sent, second: &Sent) -> bool {
    let against = |a: &Message, b: &Message| match (a, b) {
        (Message::Program(a), Message::Program(b)) => a != b,
        (Message::Control(a, v), Message::Control(b, w)) => a == b && v != w,
        (Message::NoteOn(a, v), Message::NoteOn(b, w)) => a == b && v != w,
        (Message::NoteOn(a, _), Message::NoteOff(b)) | (Message::NoteOff(a), Message::NoteOn(b, _)) => a == b,
        _ => false,
    };
    let differ = || first.messages.iter().any(|a| second.messages.iter().any(|b| against(a, b)));
    let at_once = first.channel == second.channel && first.cue.when == second.cue.when;
    at_once && first.control.0 != second.control.0 && differ()
}

fn named(facts: &Facts<'_>, sent: &Sent) -> String {
    let control = facts.control(sent.control.0, sent.control.1).map_or("", |c| &c.name);
    format!("`{}.{control}`", facts.device(sent.control.0))
}
