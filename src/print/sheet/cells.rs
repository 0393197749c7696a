//! The table as a sheet shows it: short heads, values, and which of them do not matter.

use crate::Compiled;
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::{Cell, CellKind, Value};
use crate::written::{cell, switch};

/// A column of the table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Column {
    /// Its name in the table: `loop-1`.
    pub name: String,
    /// Its head on paper: `SQS`, `1T`, `X1`, `O1`, `M5 gully memory`, `foot swing speed`.
    pub head: String,
    /// What it belongs to, so that like stands by like.
    pub group: Group,
}

/// What a column belongs to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    Loops,
    Contacts,
    Levels,
    Outputs,
    Guitars,
    Messages,
    Feet,
}

impl Group {
    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Group::Loops => "loops",
            Group::Contacts => "remote contacts",
            Group::Levels => "expression",
            Group::Outputs => "outputs",
            Group::Guitars => "guitar input",
            Group::Messages => "midi",
            Group::Feet => "by foot",
        }
    }
}

/// A row of the table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PresetRow {
    /// The slot as the unit shows it; empty when the scene is in none.
    pub slot: String,
    /// The scene's name.
    pub scene: String,
    /// The scene's number.
    pub id: SceneId,
    /// One for each column.
    pub cells: Vec<ShownCell>,
    /// What its own switches do.
    pub inside: Vec<String>,
}

/// A value as it is printed.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ShownCell {
    /// The stored value.
    pub text: String,
    /// It does not matter in this row.
    pub free: bool,
}

/// All columns, in board order.
pub fn columns(compiled: &Compiled) -> Vec<Column> {
    let list = compiled.table.cells.list.iter();
    list.map(|cell| Column { name: cell.name.clone(), head: head(compiled, cell), group: group(cell) }).collect()
}

fn group(cell: &Cell) -> Group {
    match cell.kind {
        CellKind::Loop(_) | CellKind::Order => Group::Loops,
        CellKind::Contact(_) | CellKind::Taps { .. } => Group::Contacts,
        CellKind::Port(_) | CellKind::Trim(_) => Group::Levels,
        CellKind::Output(_) => Group::Outputs,
        CellKind::Guitar => Group::Guitars,
        CellKind::Message { .. } | CellKind::Clock => Group::Messages,
        CellKind::ByFoot { .. } => Group::Feet,
    }
}

/// A column's head on paper.
pub fn head(compiled: &Compiled, cell: &Cell) -> String {
    let named = |device: DeviceId, control: ControlId| {
        let device = compiled.book.board.devices.get(device);
        let control = device.and_then(|d| d.controls.get(control));
        format!("{} {}", device.map_or("?", |d| &d.name), control.map_or("?", |c| &c.name))
    };
    match cell.kind {
        CellKind::Loop(number) => {
            compiled.book.board.in_loop(number).map_or_else(|| loop_head(compiled, number), |d| d.label())
        }
        CellKind::Contact(contact) | CellKind::Taps { contact, .. } => {
            format!("{}{}", contact.jack, if contact.ring { 'R' } else { 'T' })
        }
        CellKind::Clock => "clock".to_owned(),
        CellKind::Port(port) => format!("X{port}"),
        CellKind::Output(output) => format!("O{output}"),
        CellKind::Trim(output) => format!("O{output} dB"),
        CellKind::Guitar => "IN".to_owned(),
        CellKind::Order => "order".to_owned(),
        CellKind::Message { device, control, .. } | CellKind::ByFoot { device, control } => named(device, control),
    }
}

/// All rows, in the order of the presets.
pub fn presets(compiled: &Compiled) -> Vec<PresetRow> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let row = |preset: &crate::fill::Preset| PresetRow {
        slot: preset.slot.zip(range).map_or(String::new(), |(slot, range)| range.show(slot)),
        scene: compiled.book.show.scene(preset.scene).map_or(String::new(), |s| s.name.to_string()),
        id: preset.scene,
        cells: cells(compiled, preset.scene),
        inside: typed(compiled, preset.scene),
    };
    compiled.presets.iter().map(row).collect()
}

fn cells(compiled: &Compiled, scene: SceneId) -> Vec<ShownCell> {
    let list = compiled.table.cells.list.pairs();
    let shown = list.map(|(column, cell)| ShownCell {
        text: show(compiled, cell, compiled.table.stored(scene, column)),
        free: compiled.table.idle(scene, column),
    });
    shown.collect()
}

/// A value as tables print it.
pub fn show(compiled: &Compiled, cell: &Cell, value: Value) -> String {
    cell::shown(&compiled.book.board, cell, value)
}

/// An empty loop: `L3`, `annex 2`.
fn loop_head(compiled: &Compiled, number: u16) -> String {
    let board = &compiled.book.board;
    board.helper_of(number).map_or_else(|| format!("L{number}"), |_| board.loop_short(number))
}

/// What the switches of a scene's preset do, for who types it in: `switch 6 toggles GLL 1, back 0`.
pub fn typed(compiled: &Compiled, scene: SceneId) -> Vec<String> {
    let says = |switch: switch::Switch| {
        let moves = switch.moves.iter().filter_map(|(c, there, back)| {
            let column = compiled.table.cells.list.get(*c)?;
            Some(format!("{} {there}, back {back}", head(compiled, column)))
        });
        format!("switch {} {} {}", switch.name, switch::word(switch.holds), moves.collect::<Vec<_>>().join(" and "))
    };
    switch::of(&compiled.book, &compiled.table, scene).into_iter().map(says).collect()
}
