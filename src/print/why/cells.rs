//! The cells of a preset, each with what it holds and the statements behind it, the winner first.

use super::speaker::songs;
use crate::Compiled;
use crate::book::words;
use crate::ids::{ColumnId, SceneId};
use crate::settle::CellKind;
use crate::settle::why::{Rank, Reason, reasons};
use crate::written::cell;

/// Some cells of a scene.
pub fn cells(compiled: &Compiled, scene: SceneId, wanted: &[ColumnId]) -> String {
    let mut out = String::new();
    wanted.iter().for_each(|cell| explain(compiled, scene, *cell, &mut out));
    out
}

fn explain(compiled: &Compiled, scene: SceneId, at: ColumnId, out: &mut String) {
    let (book, table, files) = (&compiled.book, &compiled.table, &compiled.files);
    let Some(column) = table.cells.list.get(at) else { return };
    out.push_str(&column.name);
    out.push_str(" = ");
    cell::write(out, &book.board, column, table.stored(scene, at));
    if table.idle(scene, at) {
        let chosen = table.empty(at).is_some_and(|empty| table.stored(scene, at) != empty);
        out.push_str(if chosen {
            "  (free: nobody hears it here; chosen so that the fewest contacts move over the sets and the rules are kept)"
        } else {
            "  (free: nobody hears it here, so it stays as an empty preset has it)"
        });
    } else if table.is_free(scene, at) {
        out.push_str(if column.pulses() {
            "  (nobody hears the device here, but a pulse moves it on)"
        } else {
            "  (nobody hears it here, but another scene leaves it as it finds it)"
        });
    }
    out.push('\n');
    let found = reasons(book, table, scene, at);
    if !found.iter().any(|r| r.live) {
        let always_on = match column.kind {
            CellKind::Loop(number) => book.board.in_loop(number).filter(|d| d.always_on),
            _ => None,
        };
        match always_on {
            Some(device) => out.push_str(&format!("  `{}` is always on  {}\n", device.name, files.at(device.at))),
            None if column.calls => out.push_str("  it follows from the loops of the helper that are in\n"),
            None if column.holds_unsaid() => out.push_str("  nobody says otherwise\n"),
            None => out.push_str("  nobody says it\n"),
        }
    }
    for reason in &found {
        let who = speaker(compiled, reason);
        let says = words::saying(book, reason.saying);
        let mark = if reason.live { "  " } else { "  overridden: " };
        out.push_str(&format!("{mark}{who} wants {says}  {}\n", files.at(reason.at)));
    }
}

fn speaker(compiled: &Compiled, reason: &Reason) -> String {
    let scene = |id: SceneId| compiled.book.show.scene(id).map_or("", |s| &s.name);
    match reason.rank {
        Rank::Own(id) => format!("`{}`", scene(id)),
        Rank::Layer(layer, id) => {
            let layer = compiled.book.show.layers.get(layer).map_or("", |l| &l.name);
            format!("layer `{layer}` (in `{}`)", scene(id))
        }
        Rank::Default => "the default".to_owned(),
        Rank::Song(song) => songs(compiled, reason, song),
    }
}
