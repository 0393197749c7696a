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

use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for change in facts.changes() {
        for cut in &change.tails {
            let Some(from) = change.from else { continue };
            let (device, seconds) = (cut.device, cut.seconds);
            let (name, scene) = (facts.device(device), facts.scene(change.to.scene));
            let stated = facts.book.board.devices.get(usize::from(device)).and_then(|d| d.tail);
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
}
