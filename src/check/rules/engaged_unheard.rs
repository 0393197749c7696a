//! Something that a scene engages in an insert or in a leg, and that nobody hears there.
//!
//! # On stage
//! Its light is on, and nothing of it comes out of the amplifier: the pedal whose send feeds it, or that mixes it in, is
//! bypassed.
//!
//! # Way out
//! Engage that pedal too, or bypass what stands in it.
//!
//! # Fires
//! ```scene
//! switcher { loops 3, split after 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; send 1 kohm; return 500 kohm }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain insert: ember send -> loop 3 -> ember return
//! scene bed { engage grit }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 3, split after 2; outputs 1 }
//! guitar plank
//! pedal braid { loop 2; leg dry; leg wet }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain wet: braid wet -> loop 3 -> braid wet
//! scene bed { engage grit }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 3, split after 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; send 1 kohm; return 500 kohm }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain insert: ember send -> loop 3 -> ember return
//! scene bed { engage ember, grit }
//! scene hush { engage grit; mute }
//! song "Quay" on plank { bed; hush }
//! ```

use crate::ids::DeviceId;
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::settle::{Answer, Row};

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(inside) = facts.inside() else { return };
    let board = &facts.book.board;
    let sounds = |row: &Row<'_>, d: DeviceId| row.sounds(d);
    for at in inside.devices.iter().copied() {
        let Some(device) = board.devices.get(at).filter(|d| !d.always_on && !d.faulty) else { continue };
        let Some((cell, _)) = facts.table.cells.engages(at) else { continue };
        let unheard = |row: &Row<'_>| {
            sounds(row, at) == Answer::Yes
                && !row.muted()
                && inside.cut_off_in(facts.book, facts.table, row.scene()).contains(&at)
        };
        let Some((scene, scenes)) = facts.scenes_where(unheard) else { continue };
        let row = Row::of(facts.book, facts.table, scene);
        let bypassed = inside.hosts(board, at).into_iter().filter(|h| sounds(&row, *h) == Answer::No);
        let hosts: Vec<String> = bypassed.filter_map(|h| board.devices.get(h)).map(|h| h.name.clone()).collect();
        let name = &device.name;
        let mut told = Diagnostic::new(
            facts.engaged_by(scene, device).map_or(facts.scene_at(scene), |saying| facts.said_at(saying)),
            format!("`{name}` is engaged in {scenes}, and nobody hears it"),
        )
        .about(facts.scene(scene))
        .about(name);
        let quoted: Vec<String> = hosts.iter().map(|h| format!("`{h}`")).collect();
        let mut or = format!("bypass `{name}`");
        if !hosts.is_empty() {
            let are = if hosts.len() == 1 { "is" } else { "are" };
            told = told.label(format!("it is heard through {} alone, which {are} bypassed there", say::joined(&quoted, "and")));
            or = format!("engage {} too, or bypass `{name}`", say::joined(&quoted, "and"));
        }
        let edits = facts.in_scene(scene, &format!("bypass {name}"), &[cell]);
        out.push(told.way("", format!("bypass `{name}` in `{}`", facts.scene(scene)), edits).help(or));
    }
}
