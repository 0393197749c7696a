//! The switches inside presets that are set anew.

use super::page::{Line, Section};
use super::words;
use crate::Compiled;
use crate::compare::Comparison;
use crate::compare::beside::Does;
use crate::compare::stored;
use crate::compare::todo::{Beneath, Switched};
use crate::written::cell;
use crate::written::switch::NOTHING;

/// Slot by slot, with boxes.
pub(super) fn section(comparison: &Comparison<'_>) -> Section {
    let section = slots(comparison.new, &comparison.switched, "Switches inside presets");
    let lead = format!(
        "{} to set or to look at, beside what is listed above; not counted there.",
        words::count(comparison.switched.len(), "thing"),
    );
    Section { lead, ..section }
}

/// The same under a title of its own.
pub(super) fn slots(new: &Compiled, switched: &[Switched], title: &str) -> Section {
    let mut lines = Vec::new();
    for of in switched.chunk_by(|a, b| a.slot == b.slot) {
        let Some(first) = of.first() else { continue };
        lines.push(Line::ticked(0, format!("{} `{}`", words::slot(new, first.slot), words::scene(new, first.scene))));
        lines.extend(self::lines(new, of));
    }
    Section { title: title.to_owned(), lead: String::new(), lines }
}

/// The lines of one slot.
pub(super) fn lines<'s>(new: &Compiled, of: impl IntoIterator<Item = &'s Switched>) -> Vec<Line> {
    of.into_iter().map(|one| Line::ticked(1, says(new, one))).collect()
}

/// `switch 6 toggles loop 1 (GLL) 1`.
pub(super) fn says(new: &Compiled, one: &Switched) -> String {
    match &one.what {
        Beneath::Switch(name, Some(does)) => format!("switch {name} {}", done(new, does)),
        Beneath::Switch(name, None) => format!("switch {name} does nothing any more"),
        Beneath::NoSecond => "its own switch calls no second row any more".to_owned(),
        Beneath::Unknown => "look whether a switch does anything else there: nobody knows".to_owned(),
    }
}

/// The same in two columns: `switch-6`, `toggles loop 1 (GLL) 1`.
pub(super) fn told(new: &Compiled, one: &Switched) -> [String; 2] {
    match &one.what {
        Beneath::Switch(name, does) => {
            let wants = does.as_ref().map_or(NOTHING.to_owned(), |does| done(new, does));
            [format!("switch-{name}"), wants]
        }
        Beneath::NoSecond | Beneath::Unknown => ["second-row".to_owned(), NOTHING.to_owned()],
    }
}

fn done(new: &Compiled, does: &Does) -> String {
    let moves = does.moves.iter().map(|(wire, store, cell)| {
        let mut text = String::new();
        let column = stored::columns(new).into_iter().find(|c| c.cell == *cell);
        if let (Some(column), Some(cell)) = (column, new.table.cells.list.get(*cell)) {
            cell::write(&mut text, &new.book.board, cell, column.value(store.clone()));
        }
        format!("{} {text}", words::wire(new, *wire))
    });
    let word = if does.holds { "holds" } else { "toggles" };
    format!("{word} {}", moves.collect::<Vec<_>>().join(" and "))
}
