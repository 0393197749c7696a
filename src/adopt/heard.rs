//! What is heard of a scene, with whatever switches are pressed inside its preset; and what a cell holds of which nobody says
//! anything.

use super::presses::Told;
use super::reading::Scene;
use crate::Compiled;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Cells, Value, why};

pub(super) struct Heard<'h> {
    compiled: &'h Compiled,
    /// What the board's default puts in each cell.
    said: Vec<Option<Value>>,
    /// The cells that some scene leaves as they are while they are heard: then it matters what stands there before.
    left: Vec<bool>,
}

impl<'h> Heard<'h> {
    /// `compiled` is the board, and a scene with number 0 that says nothing.
    pub(super) fn of(compiled: &'h Compiled, scenes: &[Scene]) -> Heard<'h> {
        let cells = &compiled.table.cells;
        let said = cells.list.ids().map(|cell| by_default(compiled, cell)).collect();
        let mut heard = Heard { compiled, said, left: vec![false; cells.len()] };
        heard.left = heard.leaves(scenes);
        heard
    }

    fn cells(&self) -> &'h Cells {
        &self.compiled.table.cells
    }

    /// What the board's default puts in a cell.
    pub(super) fn said(&self, cell: ColumnId) -> Option<Value> {
        self.said.get(cell.index()).copied().flatten()
    }

    /// What a cell holds of which no scene says anything.
    pub(super) fn unsaid(&self, cell: ColumnId) -> Option<Value> {
        let unsaid = || self.cells().list.get(cell).filter(|c| c.holds_unsaid()).map(|c| c.unsaid);
        self.said(cell).or_else(unsaid)
    }

    /// Whether each device sounds: with no switch pressed, or with any of them.
    pub(super) fn sounds(&self, scene: &Scene) -> Vec<Answer> {
        let moved: Vec<&Told> = scene.presses.iter().flatten().filter(|told| !told.cells().is_empty()).collect();
        let mut out = Vec::new();
        for mask in 0..1usize << moved.len() {
            let pressed = |n: usize| mask >> n & 1 == 1;
            let by_switch = |cell: ColumnId| {
                let mut moves = moved.iter().enumerate().flat_map(|(n, told)| told.cells().iter().map(move |m| (n, m)));
                moves.find(|(_, m)| m.cell == cell).map(|(n, m)| if pressed(n) { m.there } else { m.back })
            };
            let held = |cell: ColumnId| by_switch(cell).unwrap_or_else(|| self.held(scene, cell));
            let devices = self.compiled.book.board.devices.ids();
            let now = devices.map(|d| self.cells().sounds(d, held));
            match mask {
                0 => out = now.collect(),
                _ => out.iter_mut().zip(now).for_each(|(any, now): (&mut Answer, _)| *any = now.max(*any)),
            }
        }
        out
    }

    fn held(&self, scene: &Scene, cell: ColumnId) -> Value {
        let value = scene.values.get(cell.index()).copied().flatten();
        value.or_else(|| self.unsaid(cell)).unwrap_or(Value::Unknown)
    }

    /// True for a cell of which it is no matter what is stored.
    pub(super) fn idle(&self, at: ColumnId, sounds: &[Answer]) -> bool {
        let Some(cell) = self.cells().list.get(at) else { return false };
        let silent = |(device, _): &(DeviceId, ControlId)| sounds.get(device.index()) == Some(&Answer::No);
        let free = !cell.always() && !cell.users.is_empty() && cell.users.iter().all(silent);
        free && !cell.pulses() && self.left.get(at.index()) != Some(&true)
    }

    fn leaves(&self, scenes: &[Scene]) -> Vec<bool> {
        let mut left = vec![false; self.cells().len()];
        for scene in scenes {
            let mut sounds = None;
            for (at, cell) in self.cells().list.pairs() {
                if self.held(scene, at) != Value::Stays || matches!(cell.kind, CellKind::ByFoot { .. }) {
                    continue;
                }
                let sounds = sounds.get_or_insert_with(|| self.sounds(scene));
                let sounding = |d: &DeviceId| sounds.get(d.index()).is_some_and(|answer| *answer != Answer::No);
                let heard = cell.always() || cell.users.iter().any(|(d, _)| sounding(d));
                if let Some(slot) = left.get_mut(at.index()).filter(|_| heard) {
                    *slot = true;
                }
            }
        }
        left
    }
}

/// What the board's default puts in a cell.
fn by_default(compiled: &Compiled, cell: ColumnId) -> Option<Value> {
    let reasons = why::reasons(&compiled.book, &compiled.table, SceneId::nth(0), cell);
    reasons.iter().find(|reason| reason.live).map(|reason| reason.value)
}
