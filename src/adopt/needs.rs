//! What each scene must say in the end, group by group, whatever it derives from.

use super::fault::Fault;
use super::groups::{ANY, Groups, NOTHING, Said};
use super::heads::Target;
use super::reading::{Column, Scene};
use crate::Compiled;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Answer, CellKind, Cells, Value, why};

/// A row a scene, a column a group.
pub(super) struct Needs {
    pub width: usize,
    pub keys: Vec<u32>,
    /// For each scene: every output is off, which one word says.
    pub muted: Vec<bool>,
    /// What a scene holds that says nothing and derives from nothing.
    pub root: Vec<u32>,
    /// What the board says by default, group by group: nobody else may.
    pub spoken: Vec<bool>,
}

impl Needs {
    pub(super) fn row(&self, scene: usize) -> &[u32] {
        self.keys.get(scene * self.width..(scene + 1) * self.width).unwrap_or(&[])
    }

    pub(super) fn len(&self) -> usize {
        self.muted.len()
    }
}

/// `compiled` is the board, and a scene with number 0 that says nothing.
pub(super) fn of(
    compiled: &Compiled,
    groups: &mut Groups<'_>,
    scenes: &[Scene],
    columns: &[Column],
) -> (Needs, Vec<Fault>) {
    let cells = &compiled.table.cells;
    let said: Vec<Option<Value>> = cells.list.ids().map(|cell| by_default(compiled, cell)).collect();
    let unsaid = |cell: ColumnId| {
        let default = said.get(cell.index()).copied().flatten();
        default.or_else(|| cells.list.get(cell).filter(|c| c.holds_unsaid()).map(|c| c.unsaid))
    };
    let left = left(compiled, scenes, &unsaid);
    let mut faults = Vec::new();
    let mut needs =
        Needs { width: groups.len(), keys: Vec::new(), muted: Vec::new(), root: Vec::new(), spoken: Vec::new() };
    for group in 0..groups.len() as u16 {
        let mine = groups.cells(group).to_vec();
        let values: Option<Vec<Value>> = mine.iter().map(|cell| unsaid(*cell)).collect();
        needs.root.push(values.map_or(NOTHING, |values| groups.key(group, values)));
        needs.spoken.push(mine.iter().any(|cell| said.get(cell.index()).is_some_and(Option::is_some)));
    }
    for scene in scenes {
        let held = |cell: ColumnId| {
            let value = scene.values.get(cell.index()).copied().flatten();
            value.or_else(|| unsaid(cell)).unwrap_or(Value::Unknown)
        };
        let sounds: Vec<Answer> = compiled.book.board.devices.ids().map(|d| cells.sounds(d, held)).collect();
        for group in 0..groups.len() as u16 {
            let key = match need(compiled, groups, group, scene, &sounds, &left, &unsaid) {
                Need::Any => ANY,
                Need::Values(values) => {
                    let said = Said { group, key: groups.key(group, values) };
                    if groups.words(said).is_none() {
                        faults.push(unsayable(cells, groups, said, scene));
                    }
                    said.key
                }
                Need::Unsaid(device, control) => {
                    faults.push(unsettled(compiled, scene, columns, device, control));
                    ANY
                }
            };
            needs.keys.push(key);
        }
        let row = needs.row(needs.muted.len());
        let off = |group: &u16| {
            let key = row.get(*group as usize).copied().unwrap_or(ANY);
            groups.values(Said { group: *group, key }).first() == Some(&Value::Off)
        };
        let muted = !groups.muted().is_empty() && groups.muted().iter().all(off);
        needs.muted.push(muted);
    }
    (needs, faults)
}

enum Need {
    Any,
    Values(Vec<Value>),
    /// A control of a device that sounds, of which nothing is said.
    Unsaid(DeviceId, ControlId),
}

fn need(
    compiled: &Compiled,
    groups: &Groups<'_>,
    group: u16,
    scene: &Scene,
    sounds: &[Answer],
    left: &[bool],
    unsaid: &impl Fn(ColumnId) -> Option<Value>,
) -> Need {
    let cells = &compiled.table.cells;
    let mine = groups.cells(group);
    let value = |cell: &ColumnId| scene.values.get(cell.index()).copied().flatten();
    let idle = |cell: &ColumnId| {
        free(cells, *cell, sounds)
            && !cells.list.get(*cell).is_some_and(|c| c.pulses())
            && left.get(cell.index()) != Some(&true)
    };
    if mine.iter().all(|cell| idle(cell) || value(cell).is_none() && unused(cells, *cell)) {
        return Need::Any;
    }
    let stands = |cell: &ColumnId| value(cell).or_else(|| unsaid(*cell));
    if let Some(values) =
        mine.iter().map(|cell| stands(cell).or_else(|| idle(cell).then(|| rest(cells, *cell)))).collect()
    {
        // Nothing of it was said, and what nobody says is right.
        return if mine.iter().all(|cell| value(cell).is_none()) { Need::Any } else { Need::Values(values) };
    }
    let silent = mine.iter().find(|cell| stands(cell).is_none() && !idle(cell));
    let users = silent.and_then(|cell| cells.list.get(*cell)).map_or(&[][..], |cell| &cell.users);
    let sounding = users.iter().find(|(d, _)| sounds.get(d.index()) == Some(&Answer::Yes));
    sounding.map_or(Need::Any, |(device, control)| Need::Unsaid(*device, *control))
}

fn rest(cells: &Cells, cell: ColumnId) -> Value {
    cells.list.get(cell).map_or(Value::Unknown, |c| c.rest)
}

fn unused(cells: &Cells, cell: ColumnId) -> bool {
    cells.list.get(cell).is_some_and(|c| c.users.is_empty())
}

/// True for a cell of devices that do not sound.
fn free(cells: &Cells, cell: ColumnId, sounds: &[Answer]) -> bool {
    let Some(cell) = cells.list.get(cell) else { return false };
    let silent = |(device, _): &(DeviceId, ControlId)| sounds.get(device.index()) == Some(&Answer::No);
    !cell.always() && !cell.users.is_empty() && cell.users.iter().all(silent)
}

/// What the board's default puts in a cell.
fn by_default(compiled: &Compiled, cell: ColumnId) -> Option<Value> {
    let reasons = why::reasons(&compiled.book, &compiled.table, SceneId::nth(0), cell);
    reasons.iter().find(|reason| reason.live).map(|reason| reason.value)
}

/// The cells that some scene leaves as they are while they are heard: then it matters what stands there before.
fn left(compiled: &Compiled, scenes: &[Scene], unsaid: &impl Fn(ColumnId) -> Option<Value>) -> Vec<bool> {
    let cells = &compiled.table.cells;
    let mut left = vec![false; cells.len()];
    for scene in scenes {
        let held = |cell: ColumnId| {
            let value = scene.values.get(cell.index()).copied().flatten();
            value.or_else(|| unsaid(cell)).unwrap_or(Value::Unknown)
        };
        for (at, cell) in cells.list.pairs() {
            let stays = held(at) == Value::Stays && !matches!(cell.kind, CellKind::ByFoot { .. });
            let heard = || cell.always() || cell.users.iter().any(|(d, _)| cells.sounds(*d, held) != Answer::No);
            if let Some(slot) = left.get_mut(at.index()).filter(|_| stays && heard()) {
                *slot = true;
            }
        }
    }
    left
}

fn unsayable(cells: &Cells, groups: &Groups<'_>, said: Said, scene: &Scene) -> Fault {
    let mine = groups.cells(said.group);
    let names = mine.iter().filter_map(|cell| cells.list.get(*cell)).map(|cell| cell.name.clone());
    let names: Vec<String> = names.collect();
    let says = format!("no statement puts into {} what the table has there", names.join(", "));
    Fault::Unsayable { row: scene.row, scene: scene.name.clone(), says }
}

fn unsettled(compiled: &Compiled, scene: &Scene, columns: &[Column], d: DeviceId, c: ControlId) -> Fault {
    let device = compiled.book.board.devices.get(d);
    let control = device.and_then(|device| device.controls.get(c)).map_or("", |control| &control.name);
    let used = compiled.table.cells.of_control(d, c);
    let speaks = |column: &&Column| match column.target {
        Target::Cell(cell) => used.contains(&cell),
        Target::Control(device, control) => (device, control) == (d, c),
        _ => false,
    };
    Fault::Unsaid {
        row: scene.row,
        column: columns.iter().find(speaks).map(|column| column.at),
        device: device.map_or(String::new(), |device| device.name.clone()),
        control: control.to_owned(),
    }
}
