//! A change in the middle of a song that takes a pedal out while it still rings.
//!
//! # On stage
//! The switcher takes the pedal's loop out of the line, and with it whatever the pedal still plays: the echo stops dead.
//! Only a pedal that states its `tail` is asked about. A pedal that says `tail 3 s, cut by programs` is cut by a program
//! too, though it stays engaged.
//!
//! # Way out
//! Keep the pedal engaged for the part that follows, or say that it is meant: `allow tail-cut A to B "why"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal gorge { loop 1; tail 3 s }
//! scene bed { mute }
//! scene solo { engage gorge }
//! song "Quay" { solo; end: bed }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal gorge { loop 1; tail 800 ms }
//! pedal ember { loop 2 }
//! scene wash { engage gorge }
//! scene storm { engage ember }
//! song "Quay" { wash; storm }
//! ```
//!
//! ```scene
//! switcher { loops 1 }
//! pedal gorge { loop 1; tail 3 s, cut by programs; control memory on midi 2 programs from 1 { near: program 1; far: program 2 } }
//! scene wash { engage gorge; gorge.memory near }
//! scene storm { engage gorge; gorge.memory far }
//! song "Quay" { wash; storm }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal gorge { loop 1; tail 3 s; control memory on midi 2 programs from 1 { near: program 1; far: program 2 } }
//! scene wash { engage gorge; gorge.memory near }
//! scene storm { engage gorge; gorge.memory far }
//! song "Quay" { wash; storm }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal gorge { loop 1; tail 3 s }
//! scene bed { mute }
//! scene solo { engage gorge }
//! song "Quay" { solo }
//! song "Mole" { all: bed }
//! set "one" { "Quay"; "Mole" }
//! ```

use crate::ids::{DeviceId, SceneId};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::inside::moves;
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for change in facts.changes() {
        for cut in &change.tails {
            let Some(from) = change.from else { continue };
            let (device, seconds) = (cut.device, cut.seconds);
            let (name, scene) = (facts.device(device), facts.scene(change.to.scene));
            let stated = facts.book.board.devices.get(device).and_then(|d| d.tail);
            let by = if cut.by_program { " with another program" } else { "" };
            let message = format!("`{name}` rings on for {seconds} s, and `{scene}` cuts it off{by}");
            let mut told = Diagnostic::new(facts.played(change.to.part).0, message)
            .other(facts.played(from.part).0, format!("`{name}` is engaged here"));
            if let Some(said) = stated {
                told = told.other(said.at, "its tail");
            }
            let allow = format!("say `allow tail-cut {} to {scene} \"why\"`", facts.scene(from.scene));
            let told = told.about(facts.scene(from.scene)).about(scene);
            if cut.by_program {
                let ask = format!("let `{scene}` ask `{name}` for the program that is there already, or {allow}");
                out.push(told.besides(&allow).help(ask));
                continue;
            }
            let cells = facts.table.cells.engages(device).map(|(cell, _)| cell);
            let edits = cells.and_then(|cell| facts.in_scene(change.to.scene, &format!("engage {name}"), &[cell]));
            out.push(told.way("", format!("keep `{name}` engaged in `{scene}`"), edits).besides(&allow).help(&allow));
        }
    }
    pressed(facts, out);
}

/// A switch inside a preset that takes out what rings on.
fn pressed(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let mut told: Vec<(Span, DeviceId)> = Vec::new();
    let mut played: Vec<(SceneId, Span)> = Vec::new();
    for part in book.show.songs.iter().flat_map(|song| &song.parts) {
        let scene = part.scene.map(|scene| book.show.base(scene));
        played.extend(scene.filter(|s| !played.iter().any(|(known, _)| known == s)).map(|s| (s, part.at)));
    }
    for (scene, part) in played {
        for press in book.show.switches(scene) {
            for (cell, _) in moves(book, facts.table, scene, press.switch) {
                let devices = book.board.devices.pairs();
                let found = devices.filter_map(|(d, device)| Some((d, device, device.tail?)));
                let mut found = found.filter(|(d, ..)| facts.table.cells.engages(*d).is_some_and(|(c, _)| c == cell));
                let Some((device, of, tail)) = found.next() else { continue };
                if told.contains(&(press.at, device)) {
                    continue;
                }
                told.push((press.at, device));
                let (name, scene) = (&of.name, facts.scene(scene));
                let says = format!("`{name}` rings on for {} s, and this switch cuts it off in `{scene}`", tail.value);
                let told = Diagnostic::new(press.at, says).other(part, format!("`{scene}` is played here"));
                let help = format!("say `allow tail-cut {scene} to {scene} \"why\"`");
                out.push(told.other(tail.at, "its tail").about(scene).about(scene).help(help));
            }
        }
    }
}
