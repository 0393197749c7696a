//! What the switcher stores: cells by the jack or message they drive, whoever is plugged in there.

use rustc_hash::FxHashMap;

use crate::Compiled;
use crate::book::device::Contact;
use crate::book::{How, Slot};
use crate::settle::{CellKind, Value};

/// What a stored cell drives.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Wire {
    /// A loop.
    Loop(u16),
    /// A contact of a remote jack.
    Contact(Contact),
    /// An expression port.
    Port(u16),
    /// An output.
    Output(u16),
    /// Program changes on a channel; the second counts those of one channel.
    Programs(u16, u16),
    /// A controller on a channel; the third counts those of one controller.
    Cc(u16, u16, u16),
}

/// What the unit's memory holds in a cell: no names, and nothing that only a foot knows.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Store {
    Off,
    On,
    Pulse,
    Stays,
    Unknown,
    Foot,
    /// A step, of so many.
    Step(u16, u16),
    /// The byte sent, counted from 0.
    Program(u16),
}

/// A stored column: what it drives, and the cell of the table.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Column {
    pub wire: Wire,
    pub cell: u16,
    steps: u16,
    /// The number that the device gives its first program.
    first: u16,
}

/// The stored columns of a board, in board order.
pub fn columns(compiled: &Compiled) -> Vec<Column> {
    let mut seen: FxHashMap<(u16, u16), u16> = FxHashMap::default();
    let mut out = Vec::new();
    for (at, cell) in compiled.table.cells.list.iter().enumerate() {
        let mut first = 0;
        let wire = match cell.kind {
            CellKind::Loop(n) => Wire::Loop(n),
            CellKind::Contact(contact) => Wire::Contact(contact),
            CellKind::Port(n) => Wire::Port(n),
            CellKind::Output(n) => Wire::Output(n),
            CellKind::ByFoot { .. } => continue,
            CellKind::Message { channel, device, control } => {
                let device = compiled.book.devices.get(device as usize);
                let how = device.and_then(|d| d.controls.get(control as usize)).map(|c| &c.how);
                let mut nth = |controller: u16| {
                    let count = seen.entry((channel, controller)).or_insert(0);
                    *count += 1;
                    *count - 1
                };
                match how {
                    Some(How::Cc { cc, .. }) => Wire::Cc(channel, *cc, nth(*cc)),
                    Some(How::Programs { from, .. }) => {
                        first = *from;
                        Wire::Programs(channel, nth(u16::MAX))
                    }
                    _ => continue,
                }
            }
        };
        out.push(Column { wire, cell: at as u16, steps: cell.steps, first });
    }
    out
}

impl Column {
    /// A value as the memory holds it.
    pub fn store(&self, value: Value) -> Store {
        match value {
            Value::Off => Store::Off,
            Value::On => Store::On,
            Value::Pulse => Store::Pulse,
            Value::Stays => Store::Stays,
            Value::Foot | Value::FromHeel | Value::FromToe => Store::Foot,
            Value::Step(step) => Store::Step(step, self.steps),
            Value::Program(program) => Store::Program(program.saturating_sub(self.first)),
            Value::State(_) | Value::Unknown => Store::Unknown,
        }
    }
}

impl Column {
    /// A stored value as the table has it.
    pub fn value(&self, store: Store) -> Value {
        match store {
            Store::Off => Value::Off,
            Store::On => Value::On,
            Store::Pulse => Value::Pulse,
            Store::Stays => Value::Stays,
            Store::Foot => Value::Foot,
            Store::Step(step, steps) if steps == self.steps => Value::Step(step),
            Store::Step(..) | Store::Unknown => Value::Unknown,
            Store::Program(byte) => Value::Program(byte + self.first),
        }
    }
}

/// A stored row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stored {
    /// The slot.
    pub slot: Slot,
    /// The scene, in its own book.
    pub scene: u32,
}

/// The filled slots, in slot order.
pub fn memory(compiled: &Compiled) -> Vec<Stored> {
    let stored = compiled.presets.iter().filter_map(|p| Some(Stored { slot: p.slot?, scene: p.scene }));
    stored.collect()
}

/// The letters of a scene's name that the unit shows; None when it shows no names.
pub fn label(compiled: &Compiled, scene: u32) -> Option<&str> {
    let letters = compiled.book.switcher.as_ref()?.display? as usize;
    let name = &*compiled.book.scene(scene)?.name;
    Some(name.char_indices().nth(letters).map_or(name, |(at, _)| name.get(..at).unwrap_or(name)))
}
