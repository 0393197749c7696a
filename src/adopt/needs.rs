//! What each scene must say in the end, group by group, whatever it derives from.

use super::fault::Fault;
use super::groups::{ANY, Groups, NOTHING, Said};
use super::heads::Target;
use super::heard::Heard;
use super::presses;
use super::reading::{Column, Scene};
use crate::Compiled;
use crate::book::inside::Does;
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::settle::{Answer, Cells, Value};

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

/// What every scene needs, the groups of cells first, then the switches inside presets.
pub(super) fn of(
    compiled: &Compiled,
    groups: &mut Groups<'_>,
    heard: &Heard<'_>,
    scenes: &[Scene],
    columns: &[Column],
) -> (Needs, Vec<Fault>) {
    let cells = &compiled.table.cells;
    let rooted = presses::by_default(compiled);
    let mut faults = Vec::new();
    let mut needs =
        Needs { width: groups.len(), keys: Vec::new(), muted: Vec::new(), root: Vec::new(), spoken: Vec::new() };
    for group in groups.of_cells() {
        let mine = groups.cells(group).to_vec();
        let values: Option<Vec<Value>> = mine.iter().map(|cell| heard.unsaid(*cell)).collect();
        needs.root.push(values.map_or(NOTHING, |values| groups.key(group, values)));
        needs.spoken.push(mine.iter().any(|cell| heard.said(*cell).is_some()));
    }
    for (switch, does) in rooted.iter().enumerate() {
        needs.root.push(groups.press(switch, *does));
        needs.spoken.push(*does != Does::Nothing);
    }
    for scene in scenes {
        let sounds = heard.sounds(scene);
        for group in groups.of_cells() {
            let key = match need(groups, group, heard, scene, &sounds) {
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
        // Where the table says nothing of a switch, it does what nobody says.
        for (switch, unsaid) in rooted.iter().enumerate() {
            let does = scene.does.get(switch).copied().flatten();
            needs.keys.push(groups.press(switch, does.unwrap_or(*unsaid)));
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

fn need(groups: &Groups<'_>, group: u16, heard: &Heard<'_>, scene: &Scene, sounds: &[Answer]) -> Need {
    let cells = groups.columns();
    let mine = groups.cells(group);
    // What a switch moves starts as the statement wants it, heard or not.
    let moved = |cell: ColumnId| scene.moved.iter().find(|(at, _)| *at == cell).map(|(_, value)| *value);
    let value = |cell: &ColumnId| moved(*cell).or_else(|| scene.values.get(cell.index()).copied().flatten());
    let idle = |cell: &ColumnId| heard.idle(*cell, sounds) && moved(*cell).is_none();
    if mine.iter().all(|cell| idle(cell) || value(cell).is_none() && unused(cells, *cell)) {
        return Need::Any;
    }
    let stands = |cell: &ColumnId| value(cell).or_else(|| heard.unsaid(*cell));
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
