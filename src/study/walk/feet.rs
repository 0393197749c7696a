//! What feet do in a change: on treadles, on devices, and as the parts say.

use super::{Change, Walker};
use crate::book::{Book, How, Note};
use crate::settle::{Table, Value};

/// Something a hand or foot does besides pressing the switch.
#[derive(Clone, PartialEq, Debug)]
pub enum Manual {
    /// A control or level of a device is set on the device.
    Move { device: u16, control: u16, value: Value },
    /// A tempo is tapped.
    Tap { device: Option<usize>, note: String },
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
}

/// A level that jumps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Jump {
    /// The port's column.
    pub port: u16,
    /// The device and its level.
    pub level: (u16, u16),
    /// The scene whose row holds it, before or after, and the stored step.
    pub held: (u32, u16),
    /// How.
    pub takes: Takes,
}

/// Ports with a level: column and device.
pub(super) fn ports(book: &Book, table: &Table) -> Vec<(u16, u16)> {
    let cells = table.cells.list.iter().enumerate();
    let used = cells.filter_map(|(c, cell)| Some((c as u16, *cell.users.first()?)));
    let port = |(device, control): (u16, u16)| {
        let found = book.board.devices.get(device as usize).and_then(|d| d.controls.get(control as usize));
        found.is_some_and(|c| matches!(c.how, How::Port { .. }))
    };
    used.filter(|(_, user)| port(*user)).map(|(c, user)| (c, user.0)).collect()
}

/// Treadles held through a change, and levels that jump. A level jumps only where its device sounds before and after.
pub(super) fn treadles(walker: &Walker<'_>, from: u32, to: u32, same: bool, change: &mut Change) {
    for (column, device) in &walker.ports {
        if same || !walker.sounds(from, *device) || !walker.sounds(to, *device) {
            continue;
        }
        let (before, now) = (walker.table.stored(from, *column), walker.table.stored(to, *column));
        let last = walker.table.cells.list.get(*column as usize).map_or(0, |c| c.steps.saturating_sub(1));
        let found = match (before, now) {
            (b, Value::Foot) if b.foot() => {
                change.feet += 1;
                None
            }
            (Value::Step(step), Value::Foot) => Some((step, Takes::Anywhere)),
            (Value::Step(step), Value::FromHeel) => Some((step, Takes::From(0))).filter(|_| step != 0),
            (Value::Step(step), Value::FromToe) => Some((step, Takes::From(last))).filter(|_| step != last),
            (b, Value::Step(step)) if b.foot() => Some((step, Takes::GivesBack)),
            _ => None,
        };
        let level = walker.table.cells.list.get(*column as usize).and_then(|c| c.users.first().copied());
        if let (Some((step, takes)), Some(level)) = (found, level) {
            let scene = if takes == Takes::GivesBack { to } else { from };
            change.jumps.push(Jump { port: *column, level, held: (scene, step), takes });
        }
    }
}

/// Levels that a foot holds while the part sounds: on a treadle, or on a device itself.
pub(super) fn held(walker: &Walker<'_>, change: &mut Change) {
    for (column, cell) in walker.table.cells.list.iter().enumerate() {
        if walker.table.stored(change.to.scene, column as u16).foot() {
            change.held.extend(cell.users.iter().find(|(device, _)| walker.sounds(change.to.scene, *device)));
        }
    }
}

/// What the part itself asks of hand and foot.
pub(super) fn notes(book: &Book, change: &mut Change) {
    let part = change.to.part.and_then(|(s, p)| book.show.songs.get(s as usize)?.parts.get(p as usize));
    for note in part.map_or(&[][..], |p| &p.notes) {
        match note {
            Note::Tap { device, value } => {
                change.manual.push(Manual::Tap { device: *device, note: value.clone() });
            }
            Note::Hand(text) => change.manual.push(Manual::Hand(text.clone())),
            Note::Beat { .. } | Note::Cue(_) | Note::Note(_) => {}
        }
    }
}
