//! What feet do in a change: on treadles, on devices, and as the parts say.

use super::{Change, Walker};
use crate::book::{Book, End, How, Note};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Table, Value};

/// Something a hand or foot does besides pressing the switch.
#[derive(Clone, PartialEq, Debug)]
pub enum Manual {
    /// A control or level of a device is set on the device.
    Move { device: DeviceId, control: ControlId, value: Value },
    /// A tempo is tapped.
    Tap { device: Option<DeviceId>, note: String },
    /// As the part says, by hand.
    Hand(String),
}

/// Who has a level before and after.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Takes {
    /// The foot takes it from a stored value, wherever the treadle stands.
    Anywhere,
    /// The foot takes it, and starts at this step.
    From(u16),
    /// The scene takes it back from the foot.
    GivesBack,
    /// The foot had it already, and it moves otherwise from now on: another treadle, or other ends of its way.
    Otherwise,
}

/// A level that jumps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Jump {
    /// The level's column.
    pub port: ColumnId,
    /// The device and its level.
    pub level: (DeviceId, ControlId),
    /// The scene whose row holds it, before or after, and the stored step: where the foot had it already, the step with the
    /// heel down.
    pub held: (SceneId, u16),
    /// How.
    pub takes: Takes,
}

/// What a foot is on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Under {
    /// A treadle on an input.
    Input(u8),
    /// A treadle that feeds the port in this column, or a level on the device itself.
    Column(ColumnId),
}

impl Under {
    /// What the foot is on that holds a cell so.
    pub fn of(column: ColumnId, value: Value) -> Option<Under> {
        match value {
            Value::Moved(travel) => Some(Under::Input(travel.input())),
            held => held.foot().then_some(Under::Column(column)),
        }
    }
}

/// Columns of levels that a treadle may move, with a device and its level on each.
pub(super) fn ports(book: &Book, table: &Table) -> Vec<(ColumnId, (DeviceId, ControlId))> {
    let inputs = book.board.switcher.as_ref().is_some_and(|s| s.inputs > 0);
    let cells = table.cells.list.numbered();
    let used = cells.flat_map(|(cell, c)| cell.users.iter().map(move |user| (c, *user)));
    let moved = |(device, control): (DeviceId, ControlId)| {
        let found = book.board.devices.get(device).and_then(|d| d.controls.get(control));
        found.is_some_and(|c| matches!(c.how, How::Port { .. }) || inputs && matches!(c.how, How::Cc { .. }))
    };
    used.filter(|(_, user)| moved(*user)).collect()
}

/// Treadles held through a change, and levels that jump. A level jumps only where its device sounds before and after.
pub(super) fn treadles(walker: &Walker<'_>, from: SceneId, to: SceneId, same: bool, change: &mut Change) {
    let mut through: Vec<Under> = Vec::new();
    for (column, level) in &walker.ports {
        if same || !walker.sounds(from, level.0) || !walker.sounds(to, level.0) {
            continue;
        }
        let (before, now) = (walker.table.stored(from, *column), walker.table.stored(to, *column));
        let steps = walker.table.cells.list.get(*column).map_or(0, |c| c.steps);
        let (was, under) = (Under::of(*column, before), Under::of(*column, now));
        let (ends, starts) = (now.ends(steps).unwrap_or_default(), now.start());
        let found = match (before, was, under) {
            (_, Some(was), Some(under)) => {
                if was == under && starts.is_none() && !through.contains(&under) {
                    through.push(under);
                }
                let heel = before.ends(steps).unwrap_or_default();
                // Where the foot starts is said: it is brought there.
                let otherwise = was != under || heel != ends;
                (otherwise && starts.is_none()).then_some((heel.0, Takes::Otherwise))
            }
            (Value::Step(step), None, Some(_)) => match starts {
                None => Some((step, Takes::Anywhere)),
                Some(start) => {
                    let first = if start == End::Heel { ends.0 } else { ends.1 };
                    (step != first).then_some((step, Takes::From(first)))
                }
            },
            (_, Some(_), None) => match now {
                Value::Step(step) => Some((step, Takes::GivesBack)),
                _ => None,
            },
            _ => None,
        };
        if let Some((step, takes)) = found {
            let scene = if takes == Takes::GivesBack { to } else { from };
            change.jumps.push(Jump { port: *column, level: *level, held: (scene, step), takes });
        }
    }
    change.feet += through.len() as u32;
}

/// Levels that a foot holds while the part sounds: on a treadle, or on a device itself. Of several that one treadle moves
/// the first.
pub(super) fn held(walker: &Walker<'_>, change: &mut Change) {
    let mut known: Vec<Under> = Vec::new();
    for (cell, column) in walker.table.cells.list.numbered() {
        // No foot holds what nothing uses.
        if cell.users.is_empty() {
            continue;
        }
        let Some(under) = Under::of(column, walker.table.stored(change.to.scene, column)) else { continue };
        let level = cell.users.iter().find(|(device, _)| walker.sounds(change.to.scene, *device));
        if let Some(level) = level.filter(|_| !known.contains(&under)) {
            known.push(under);
            change.held.push(*level);
        }
    }
}

/// What the part itself asks of hand and foot.
pub(super) fn notes(book: &Book, change: &mut Change) {
    let part = change.to.part.and_then(|at| book.show.part(at)).map(|(_, part)| part);
    for note in part.map_or(&[][..], |p| &p.besides().notes) {
        match note {
            Note::Tap { device, value } => {
                change.manual.push(Manual::Tap { device: *device, note: value.clone() });
            }
            Note::Hand(text) => change.manual.push(Manual::Hand(text.clone())),
            Note::Beat { .. } | Note::Cue(_) | Note::Note(_) => {}
        }
    }
}
