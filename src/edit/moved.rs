//! What a change of the text did to the table, cell by cell.

use super::goal::Goal;
use crate::Compiled;
use crate::settle::Value;

/// A cell that holds something else than before.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Moved {
    /// The scene.
    pub scene: u32,
    /// The column.
    pub cell: u16,
    /// What it held.
    pub was: Value,
    /// What it holds.
    pub now: Value,
}

/// The cells that matter and hold neither what was wanted nor what they held. A pulse counts as it is stored.
pub(super) fn others(goal: &Goal<'_>, after: &Compiled) -> Vec<Moved> {
    all(goal, after, |scene, cell| {
        let (book, table) = (&goal.book.table, &after.table);
        if table.idle(scene, cell) {
            return None;
        }
        let (was, now) = (goal.value(scene, cell), table.value(scene, cell));
        if was != now {
            return Some((was, now));
        }
        let (was, now) = (book.stored(scene, cell), table.stored(scene, cell));
        let pulses = table.cells.list.get(cell as usize).is_some_and(|c| c.pulses());
        (pulses && was != now && !goal.asked(scene, cell)).then_some((was, now))
    })
}

/// The cells that hold something else than in the book as it is, where it matters, but for those that were asked for.
pub(super) fn besides(goal: &Goal<'_>, after: &Compiled) -> Vec<Moved> {
    all(goal, after, |scene, cell| {
        let (book, table) = (&goal.book.table, &after.table);
        let (was, now) = (book.stored(scene, cell), table.stored(scene, cell));
        let asked = goal.asked(scene, cell) && goal.value(scene, cell) == table.value(scene, cell);
        let woken = book.idle(scene, cell) && book.value(scene, cell) == table.value(scene, cell);
        (was != now && !table.idle(scene, cell) && !asked && !woken).then_some((was, now))
    })
}

/// The cells that were idle and matter now, and hold what the text said of them before.
pub(super) fn woken(goal: &Goal<'_>, after: &Compiled) -> Vec<(u32, u16)> {
    let found = all(goal, after, |scene, cell| {
        let woken = goal.book.table.idle(scene, cell) && !after.table.idle(scene, cell);
        (woken && !goal.asked(scene, cell)).then_some((Value::Unknown, Value::Unknown))
    });
    found.into_iter().map(|moved| (moved.scene, moved.cell)).collect()
}

fn all(goal: &Goal<'_>, after: &Compiled, told: impl Fn(u32, u16) -> Option<(Value, Value)>) -> Vec<Moved> {
    let (scenes, cells) = (goal.book.book.show.scenes.len() as u32, goal.book.table.cells.len() as u16);
    let rows = (0..scenes).filter(|scene| after.book.show.scene(*scene).is_some());
    let each = rows.flat_map(|scene| (0..cells).map(move |cell| (scene, cell)));
    each.filter_map(|(scene, cell)| {
        let (was, now) = told(scene, cell)?;
        Some(Moved { scene, cell, was, now })
    })
    .collect()
}
