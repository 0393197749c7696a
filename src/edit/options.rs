//! What could be said in a scene so that its row holds what it must: the statements that agree with it.

use super::goal::Goal;
use super::model::Model;
use crate::book::{ContactValue, LevelValue, What};
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Value};

/// Every unit that agrees with a row, the ones that speak of controls first.
pub(super) fn agreeing(goal: &Goal<'_>, model: &mut Model, scene: SceneId) -> Vec<u32> {
    let mut whats: Vec<What> = Vec::new();
    for cell in &model.columns {
        let Some(value) = goal.held(scene, *cell) else { continue };
        let Some(column) = goal.book.table.cells.list.get(*cell) else { continue };
        // Of two on one contact, the one that is heard is meant.
        let heard = |d: DeviceId| goal.book.table.cells.sounds(d, |c| goal.value(scene, c)) != Answer::No;
        let mut users = column.users.clone();
        users.sort_by_key(|(device, _)| !heard(*device));
        for control in users {
            whats.extend(of_control(goal, control, value));
        }
        whats.extend(bare(column.kind, value));
    }
    let mut out: Vec<u32> = Vec::new();
    for what in whats {
        if let Some(unit) = model.unit(goal, what).filter(|unit| agrees(goal, model, scene, *unit))
            && !out.contains(&unit)
        {
            out.push(unit);
        }
    }
    out.extend(model.muting().filter(|unit| agrees(goal, model, scene, *unit)));
    out
}

/// True when all that a unit puts in its columns is what a row must hold there.
pub(super) fn agrees(goal: &Goal<'_>, model: &Model, scene: SceneId, unit: u32) -> bool {
    model.units.get(unit as usize).is_some_and(|unit| {
        unit.values.iter().all(|(at, value)| {
            let held = model.columns.get(*at).and_then(|cell| goal.held(scene, *cell));
            held.is_none_or(|held| held == *value)
        })
    })
}

fn of_control(goal: &Goal<'_>, (device, control): (DeviceId, ControlId), value: Value) -> Vec<What> {
    let board = &goal.book.book.board;
    let Some(owner) = board.devices.get(device) else { return Vec::new() };
    let Some(how) = owner.controls.get(control) else { return Vec::new() };
    if value == Value::Stays {
        return vec![What::Stays { device, control }];
    }
    if let (Some(_), Value::Moved(travel)) = (how.how.level(), value) {
        return vec![What::Moves { device, control, travel }];
    }
    if how.how.level().is_some() {
        return level(value).map(|value| What::Level { device, control, value }).into_iter().collect();
    }
    let by = owner.engaged_by.filter(|by| by.control == control && owner.loop_at.is_none());
    let state = |state: u16| match by {
        Some(by) if by.engaged == state => What::Engaged { device, on: true },
        Some(by) if by.bypassed == state => What::Engaged { device, on: false },
        _ => What::Choice { device, control, state },
    };
    (0..how.states.len() as u16).map(state).collect()
}

/// The same said to the hardware.
fn bare(kind: CellKind, value: Value) -> Option<What> {
    Some(match (kind, value) {
        (CellKind::Loop(number), Value::On | Value::Off) => What::Loop { number, on: value == Value::On },
        (CellKind::Output(number), Value::On | Value::Off) => What::Output { number, on: value == Value::On },
        (CellKind::Guitar, Value::Input(input)) => What::Heard { input },
        (CellKind::Order, Value::Order(order)) => What::Order { order },
        (CellKind::Contact(contact), _) => {
            let value = match value {
                Value::Off => ContactValue::Open,
                Value::On => ContactValue::Closed,
                Value::Pulse => ContactValue::Pulse,
                _ => return None,
            };
            What::Contact { jack: contact.jack, ring: contact.ring, value }
        }
        (CellKind::Port(port), Value::Stays) => What::Port { port, value: LevelValue::Stays },
        (CellKind::Port(port), _) => What::Port { port, value: level(value)? },
        _ => return None,
    })
}

fn level(value: Value) -> Option<LevelValue> {
    Some(match value {
        Value::Step(step) => LevelValue::Step(step),
        Value::Foot => LevelValue::Foot,
        Value::FromHeel => LevelValue::FromHeel,
        Value::FromToe => LevelValue::FromToe,
        _ => return None,
    })
}

/// How a thing is best said, the smaller the better: as it is said now, else of the pedal, else to the hardware.
pub(super) fn style(goal: &Goal<'_>, what: What, now: Option<What>) -> u32 {
    let kind = |what: What| match what {
        What::Contact { .. } | What::Port { .. } => 1,
        What::Loop { .. } | What::Output { .. } => 0,
        _ => 2,
    };
    let bare = kind(what) == 1;
    match now {
        _ if goal.said.contains_key(&what) => 0,
        Some(now) if kind(now) == kind(what) => 0,
        _ if !bare => 1,
        _ => 2,
    }
}
