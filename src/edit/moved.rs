//! What a change of the text did to the table, cell by cell.

use rustc_hash::FxHashMap;

use super::goal::Goal;
use crate::Compiled;
use crate::ids::{ColumnId, SceneId};
use crate::settle::Value;

/// A cell that holds something else than before.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Moved {
    /// The scene.
    pub scene: SceneId,
    /// The column.
    pub cell: ColumnId,
    /// What it held.
    pub was: Value,
    /// What it holds.
    pub now: Value,
}

/// The cells that matter and hold neither what was wanted nor what they held. A pulse counts as it is stored.
pub(super) fn others(goal: &Goal<'_>, after: &Compiled) -> Vec<Moved> {
    all(goal, after, |scene, cell| {
        let (book, table) = (&goal.book.table, &after.table);
        // What calls a helper follows from its loops.
        if table.idle(scene, cell) || calls(goal.book, cell) {
            return None;
        }
        let (was, now) = (goal.value(scene, cell), table.value(scene, cell));
        if was != now {
            return Some((was, now));
        }
        let (was, now) = (book.stored(scene, cell), table.stored(scene, cell));
        let pulses = table.cells.list.get(cell).is_some_and(|c| c.pulses());
        (pulses && was != now && !goal.asked(scene, cell)).then_some((was, now))
    })
}

/// True for a cell that calls a helper.
pub(super) fn calls(book: &Compiled, cell: ColumnId) -> bool {
    book.table.cells.list.get(cell).is_some_and(|c| c.calls)
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
pub(super) fn woken(goal: &Goal<'_>, after: &Compiled) -> Vec<(SceneId, ColumnId)> {
    let found = all(goal, after, |scene, cell| {
        let woken = goal.book.table.idle(scene, cell) && !after.table.idle(scene, cell);
        (woken && !goal.asked(scene, cell)).then_some((Value::Unknown, Value::Unknown))
    });
    found.into_iter().map(|moved| (moved.scene, moved.cell)).collect()
}

fn all(goal: &Goal<'_>, after: &Compiled, told: impl Fn(SceneId, ColumnId) -> Option<(Value, Value)>) -> Vec<Moved> {
    let cells = || goal.book.table.cells.list.ids();
    let rows = goal.book.book.show.scenes.ids().filter(|scene| after.book.show.scene(*scene).is_some());
    let each = rows.flat_map(|scene| cells().map(move |cell| (scene, cell)));
    each.filter_map(|(scene, cell)| {
        let (was, now) = told(scene, cell)?;
        Some(Moved { scene, cell, was, now })
    })
    .collect()
}

/// True when every cell that was known holds what it held, whatever else the book says by now: rows go by the scenes'
/// names, columns by their own. A foot whose start could not be read is a foot.
pub fn kept(before: &Compiled, after: &Compiled) -> bool {
    let rows: FxHashMap<&str, SceneId> = scenes(after).map(|(id, name)| (name, id)).collect();
    let columns = |book: &Compiled| book.table.cells.list.iter().map(|c| c.name.clone()).collect::<Vec<_>>();
    let now = columns(after);
    let places: Vec<Option<ColumnId>> =
        columns(before).iter().map(|name| now.iter().position(|n| n == name).map(ColumnId::nth)).collect();
    let same = |was: Value, now: Value| was == now || was == now.unstarted();
    scenes(before).all(|(id, name)| {
        let Some(row) = rows.get(name) else { return false };
        places.iter().zip(before.table.cells.list.ids()).all(|(place, cell)| {
            let was = before.table.stored(id, cell);
            was == Value::Unknown || place.is_some_and(|place| same(was, after.table.stored(*row, place)))
        })
    })
}

fn scenes(book: &Compiled) -> impl Iterator<Item = (SceneId, &str)> {
    let scenes = book.book.show.scenes.numbered().filter(|(scene, _)| !scene.repeated);
    scenes.map(|(scene, id)| (id, scene.name.as_str()))
}
