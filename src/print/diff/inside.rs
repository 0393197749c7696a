//! The switches inside presets that are set anew.

use super::page::{Line, Section};
use super::words;
use crate::Compiled;
use crate::compare::Comparison;
use crate::compare::inside::{Does, Switched};
use crate::compare::stored;
use crate::print::cell;

/// Slot by slot, with boxes.
pub(super) fn section(comparison: &Comparison<'_>) -> Section {
    let mut lines = Vec::new();
    for of in comparison.switched.chunk_by(|a, b| a.slot == b.slot) {
        let Some(first) = of.first() else { continue };
        let (slot, scene) = (words::slot(comparison.new, first.slot), words::scene(comparison.new, first.scene));
        lines.push(Line::ticked(0, format!("{slot} `{scene}`")));
        lines.extend(of.iter().map(|one| Line::ticked(1, says(comparison.new, one))));
    }
    let lead = format!(
        "{} to set, beside what is listed above; not counted there.{}",
        words::count(comparison.switched.len(), "switch").replace("switchs", "switches"),
        if comparison.old.is_unit() { " What the unit has there is not in the record." } else { "" }
    );
    Section { title: "Switches inside presets".to_owned(), lead, lines }
}

/// `switch 6 toggles loop 1 (GLL) 1`.
pub(super) fn says(new: &Compiled, one: &Switched) -> String {
    match &one.now {
        Some(does) => format!("switch {} {}", one.name, done(new, does)),
        None => format!("switch {} does nothing any more", one.name),
    }
}

fn done(new: &Compiled, does: &Does) -> String {
    let moves = does.moves.iter().map(|(wire, store, cell)| {
        let mut text = String::new();
        let column = stored::columns(new).into_iter().find(|c| c.cell == *cell);
        if let (Some(column), Some(cell)) = (column, new.table.cells.list.get(usize::from(*cell))) {
            cell::write(&mut text, &new.book.board, cell, column.value(store.clone()));
        }
        format!("{} {text}", words::wire(new, *wire))
    });
    let word = if does.holds { "holds" } else { "toggles" };
    format!("{word} {}", moves.collect::<Vec<_>>().join(" and "))
}
