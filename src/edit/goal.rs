//! The table that is wanted: every cell of every row, and which of them matter.

use rustc_hash::{FxHashMap, FxHashSet};

use super::{Refusal, Wanted};
use crate::Compiled;
use crate::book::{Amount, What};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::inside::switches;
use crate::settle::why::reasons;
use crate::settle::{Answer, CellKind, Value};

/// What is wanted of a book.
pub(super) struct Goal<'b> {
    pub book: &'b Compiled,
    /// The wanted cells that change, by their places among those that were given.
    pub changing: Vec<(usize, Wanted)>,
    pub same: Vec<usize>,
    pub free: Vec<usize>,
    /// Those that call a helper: they follow, or cannot be.
    pub calling: Vec<usize>,
    values: FxHashMap<(SceneId, ColumnId), Value>,
    /// The amounts that were given, by the statements that say them.
    pub said: FxHashMap<What, Amount>,
    /// Columns that some scene leaves as it finds them while they are heard.
    left: FxHashSet<ColumnId>,
}

impl<'b> Goal<'b> {
    /// Sorts out what changes; refuses what clashes, and what would be heard with nobody saying how.
    pub(super) fn of(book: &'b Compiled, wanted: &[Wanted]) -> Result<Goal<'b>, Vec<Refusal>> {
        let mut goal = Goal {
            book,
            changing: Vec::new(),
            same: Vec::new(),
            free: Vec::new(),
            calling: Vec::new(),
            values: FxHashMap::default(),
            said: wanted.iter().filter_map(|w| w.said).collect(),
            left: FxHashSet::default(),
        };
        let mut refused = Vec::new();
        let mut first: FxHashMap<(SceneId, ColumnId), usize> = FxHashMap::default();
        for (at, one) in wanted.iter().enumerate() {
            let known = *first.entry((one.scene, one.cell)).or_insert(at);
            match wanted.get(known) {
                Some(other) if other.value != one.value => refused.push(Refusal::Clash(known, at)),
                _ => drop(goal.values.insert((one.scene, one.cell), one.value)),
            }
        }
        goal.combine(wanted, &mut refused);
        goal.leave(wanted);
        for (at, one) in wanted.iter().enumerate() {
            if super::moved::calls(book, one.cell) {
                goal.calling.push(at);
            } else if !goal.matters(one.scene, one.cell) {
                goal.free.push(at);
            } else if book.table.value(one.scene, one.cell) == one.value && goal.is_said(one.scene, one.cell) {
                goal.same.push(at);
            } else {
                goal.changing.push((at, *one));
            }
        }
        goal.unsaid(&mut refused);
        if refused.is_empty() { Ok(goal) } else { Err(refused) }
    }

    /// With switches pressed a scene has what is wanted of it, but for what they move: that would have to follow.
    fn combine(&mut self, wanted: &[Wanted], refused: &mut Vec<Refusal>) {
        let (book, table) = (&self.book.book, &self.book.table);
        for (at, one) in wanted.iter().enumerate() {
            if book.show.is_pressed(one.scene) {
                refused.push(Refusal::Pressed(at));
            }
            let new = table.value(one.scene, one.cell) != one.value;
            let moves = |moves: &[(ColumnId, Value)]| new && moves.iter().any(|(cell, _)| *cell == one.cell);
            let by = switches(book, table, one.scene).into_iter().find(|(_, _, moved)| moves(moved));
            refused.extend(by.map(|(switch, ..)| Refusal::Switched(one.scene, switch)));
            for pressed in book.show.combinations(one.scene).iter().filter(|_| new) {
                self.values.insert((*pressed, one.cell), one.value);
            }
        }
    }

    /// What a cell is to hold, wanted or as it was.
    pub(super) fn value(&self, scene: SceneId, cell: ColumnId) -> Value {
        self.values.get(&(scene, cell)).copied().unwrap_or_else(|| self.book.table.value(scene, cell))
    }

    /// True for a cell that was asked for.
    pub(super) fn asked(&self, scene: SceneId, cell: ColumnId) -> bool {
        self.values.contains_key(&(scene, cell))
    }

    /// What a cell must hold; None where whatever it holds does.
    pub(super) fn held(&self, scene: SceneId, cell: ColumnId) -> Option<Value> {
        // A tempo that comes to be heard is the songs' to say.
        if self.is_tempo(cell) && self.book.table.is_free(scene, cell) && !self.asked(scene, cell) {
            return None;
        }
        Some(self.value(scene, cell)).filter(|value| *value != Value::Unknown && self.matters(scene, cell))
    }

    /// True where it matters what a cell holds in the wanted table.
    fn matters(&self, scene: SceneId, cell: ColumnId) -> bool {
        let pulses = self.book.table.cells.list.get(cell).is_some_and(|c| c.pulses());
        pulses || self.left.contains(&cell) || !self.is_free(scene, cell)
    }

    /// True where nobody hears a cell in the wanted table.
    pub(super) fn is_free(&self, scene: SceneId, cell: ColumnId) -> bool {
        let cells = &self.book.table.cells;
        let Some(column) = cells.list.get(cell).filter(|c| !c.users.is_empty() && !c.always()) else {
            return false;
        };
        // A switch inside the preset may bring it in.
        let pressed = self.book.book.show.combinations(scene);
        let silent = |scene: SceneId, device: DeviceId| cells.sounds(device, |c| self.value(scene, c)) == Answer::No;
        let rows = || pressed.iter().copied().chain([scene]);
        column.users.iter().all(|(device, _)| rows().all(|row| silent(row, *device)))
    }

    /// A tempo needs no statement: songs say it, or nothing is sent.
    fn is_tempo(&self, cell: ColumnId) -> bool {
        self.book.table.cells.list.get(cell).is_some_and(|column| column.tempo)
    }

    /// Some statement settles a cell, or none needs to.
    fn is_said(&self, scene: SceneId, cell: ColumnId) -> bool {
        let table = &self.book.table;
        let unsaid = table.cells.list.get(cell).is_some_and(crate::settle::Cell::holds_unsaid);
        unsaid
            || self.is_tempo(cell)
            || self.is_free(scene, cell)
            || reasons(&self.book.book, table, scene, cell).iter().any(|r| r.live)
    }

    /// Finds what some scene leaves as it is while it is heard, among the columns that are asked for and their like.
    fn leave(&mut self, wanted: &[Wanted]) {
        let scenes = || self.book.book.show.scenes.ids();
        let some: FxHashSet<SceneId> = wanted.iter().map(|w| w.scene).collect();
        for (cell, column) in self.book.table.cells.list.pairs() {
            let stays = |scene: SceneId| self.value(scene, cell) == Value::Stays && !self.is_free(scene, cell);
            let by_foot = matches!(column.kind, CellKind::ByFoot { .. });
            // Rows that nothing is wanted of leave what they left.
            let kept = |scene: SceneId| {
                !some.contains(&scene)
                    && self.book.table.value(scene, cell) == Value::Stays
                    && !self.book.table.is_free(scene, cell)
            };
            if !by_foot && (some.iter().any(|s| stays(*s)) || scenes().any(kept)) {
                self.left.insert(cell);
            }
        }
    }

    /// What would be heard that nobody heard, and nobody says.
    fn unsaid(&self, refused: &mut Vec<Refusal>) {
        let mut scenes: Vec<SceneId> = self.changing.iter().map(|(_, w)| w.scene).collect();
        scenes.sort_unstable();
        scenes.dedup();
        for scene in scenes {
            let mut told: Vec<(DeviceId, ControlId)> = Vec::new();
            for (cell, column) in self.book.table.cells.list.pairs() {
                let woken = self.book.table.is_free(scene, cell) && !self.is_free(scene, cell);
                if !woken || self.asked(scene, cell) || self.is_said(scene, cell) {
                    continue;
                }
                let sounds = |d: DeviceId| self.book.table.cells.sounds(d, |c| self.value(scene, c)) != Answer::No;
                let heard = column.users.iter().copied().find(|(d, _)| sounds(*d));
                if let Some(control) = heard.filter(|control| !told.contains(control)) {
                    told.push(control);
                    refused.push(Refusal::Unsaid(scene, control.0, control.1));
                }
            }
        }
    }
}
