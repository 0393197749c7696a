//! What the cells hold as the player goes on, and what was heard of them.

use std::cell::OnceCell;
use std::sync::Arc;

use super::{Change, Walker};
use crate::ids::{DeviceId, SceneId};
use crate::settle::{Answer, Cell, CellKind, Row, Value};
use crate::study::inside::Inside;

/// What is known of the cells as the player goes on.
pub(super) struct Holds {
    /// What each physically holds: `stays` leaves it as it was.
    pub cells: Vec<Value>,
    /// What each held when it was last heard; before that, what it held at first. Of what is not known the first is told.
    pub heard: Vec<Value>,
}

impl Holds {
    pub(super) fn unknown(cells: usize) -> Holds {
        Holds { cells: vec![Value::Unknown; cells], heard: vec![Value::Unknown; cells] }
    }
}

impl Walker<'_> {
    pub(super) fn settle(&self, scene: SceneId, holds: &mut [Value]) {
        for (c, slot) in self.table.cells.list.ids().zip(holds) {
            match self.table.stored(scene, c) {
                Value::Stays | Value::Pulse => {}
                value => *slot = value,
            }
        }
    }

    /// A preset that is called on the way to another.
    pub(super) fn pass(&self, scene: SceneId, started: bool, holds: &mut [Value], change: &mut Change) {
        for ((c, cell), held) in self.table.cells.list.pairs().zip(holds) {
            let value = self.table.stored(scene, c);
            let moves = match value {
                Value::Pulse => true,
                Value::On | Value::Off => started && *held != value && *held != Value::Unknown,
                _ => false,
            };
            if moves && matches!(cell.kind, CellKind::Contact(_)) {
                change.contacts.push(c);
            }
            if !matches!(value, Value::Stays | Value::Pulse)
                && !matches!(cell.kind, CellKind::ByFoot { .. } | CellKind::Loop(_))
            {
                *held = value;
            }
        }
    }

    /// What a cell stands for is heard in a scene, or it stands for nothing but itself. `off` keeps what is cut off in that
    /// scene.
    pub(super) fn hears(&self, scene: SceneId, off: &OnceCell<Arc<[DeviceId]>>, cell: &Cell) -> bool {
        let row = Row::of(self.book, self.table, scene);
        let heard = |device: DeviceId| row.sounds(device) == Answer::Yes && row.fed(device) == Answer::Yes;
        let cut = |device: DeviceId| {
            let all = |inside: &Inside| inside.cut_off_in(self.book, self.table, scene);
            self.inside.as_ref().is_some_and(|inside| off.get_or_init(|| all(inside)).contains(&device))
        };
        cell.users.is_empty() || !row.muted() && cell.users.iter().any(|(device, _)| heard(*device) && !cut(*device))
    }
}
