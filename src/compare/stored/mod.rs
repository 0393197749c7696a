//! What the switcher stores: cells by the jack or message they drive, whoever is plugged in there.

pub mod memory;

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::Compiled;
use crate::book::device::CC_STEPS;
use crate::book::device::Contact;
use crate::book::message::Cue;
use crate::book::{Book, Control, How, LoopOrder, Slot, State, Travel};
use crate::ids::{ColumnId, SceneId};
use crate::settle::bytes::banked;
use crate::settle::{CellKind, Value};

/// What a stored cell drives.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Wire {
    /// A loop.
    Loop(u16),
    /// A contact of a remote jack.
    Contact(Contact),
    /// A contact that pulses so often at each press, at a spacing.
    Pulses(Contact, u16),
    /// The tempo of the clock.
    Clock,
    /// An expression port.
    Port(u16),
    /// An output.
    Output(u16),
    /// The trim of an output.
    Trim(u16),
    /// Which guitar input is heard.
    Guitar,
    /// The order of the loops.
    Order,
    /// Program changes on a channel; the second counts those of one channel.
    Programs(u16, u16),
    /// A controller on a channel; the third counts those of one controller.
    Cc(u16, u16, u16),
    /// What is sent otherwise than at each press, and messages of several kinds: the channel, what, when, and the count of
    /// those that are so.
    Cue(u16, Sends, Cue, u16),
}

/// What a cue sends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Sends {
    /// Programs.
    Programs,
    /// Values of a controller.
    Cc(u16),
    /// Whatever messages its states list.
    Messages,
}

impl Wire {
    /// True for what sends messages.
    pub fn message(self) -> bool {
        matches!(self, Wire::Programs(..) | Wire::Cc(..) | Wire::Cue(..))
    }

    /// True for what sends programs.
    pub fn programs(self) -> bool {
        matches!(self, Wire::Programs(..) | Wire::Cue(_, Sends::Programs, ..))
    }
}

/// What the unit's memory holds in a cell: no names, and nothing that only a foot knows.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub enum Store {
    Off,
    On,
    Pulse,
    Stays,
    Unknown,
    Foot,
    /// An input, from 1.
    Input(u16),
    /// An order of the loops.
    Order(LoopOrder),
    /// A treadle on an input moves it, over these steps of so many.
    Moved(Travel, u16),
    /// A step, of so many.
    Step(u16, u16),
    /// What is sent, counted from 0: the bank, where one is sent before the program, and the program.
    Program(Option<u16>, u16),
    /// Bytes that are sent.
    Bytes(Arc<Vec<u8>>),
}

/// A stored column: what it drives, and the cell of the table.
#[derive(Clone, PartialEq, Debug)]
pub struct Column {
    pub wire: Wire,
    pub cell: ColumnId,
    steps: u16,
    programs: Programs,
    /// It holds values of a controller, one a state.
    values: bool,
}

/// What a column of programs sends.
#[derive(Clone, PartialEq, Default, Debug)]
struct Programs {
    /// The number that the device gives its first program.
    first: u16,
    /// A bank is sent before each program of the channel.
    banked: bool,
    /// For each state of a control with banks, or with messages of several kinds: what is sent.
    states: Vec<Store>,
}

impl Programs {
    fn of(book: &Book, channel: u16, first: u16, control: &Control) -> Programs {
        let mut out = Programs { first, banked: banked(book, channel), states: Vec::new() };
        if control.banked() {
            let sent = |s: &State| s.program.map_or(Store::Unknown, |p| out.sent(s.bank.unwrap_or(1), p));
            out.states = control.states.iter().map(sent).collect();
        }
        out
    }

    /// A bank counted from 1, a program as the device counts it.
    fn sent(&self, bank: u16, program: u16) -> Store {
        Store::Program(self.banked.then(|| bank.saturating_sub(1)), program.saturating_sub(self.first))
    }
}

/// The stored columns of a board, in board order.
pub fn columns(compiled: &Compiled) -> Vec<Column> {
    let mut seen: FxHashMap<(u16, u16, Cue), u16> = FxHashMap::default();
    let mut out = Vec::new();
    // What a helper stores is in its own memory.
    for (at, cell) in compiled.table.cells.list.pairs().filter(|(_, cell)| !cell.apart) {
        let (mut programs, mut values) = (Programs::default(), false);
        let wire = match cell.kind {
            CellKind::Loop(n) => Wire::Loop(n),
            CellKind::Contact(contact) => Wire::Contact(contact),
            CellKind::Taps { contact, device, control } => {
                let device = compiled.book.board.devices.get(device);
                match device.and_then(|d| d.controls.get(control)).map(|c| &c.how) {
                    Some(How::Pulses { count, .. }) => Wire::Pulses(contact, *count),
                    _ => continue,
                }
            }
            CellKind::Clock => Wire::Clock,
            CellKind::Port(n) => Wire::Port(n),
            CellKind::Output(n) => Wire::Output(n),
            CellKind::Trim(n) => Wire::Trim(n),
            CellKind::Guitar => Wire::Guitar,
            CellKind::Order => Wire::Order,
            CellKind::ByFoot { .. } => continue,
            CellKind::Message { channel, device, control } => {
                let device = compiled.book.board.devices.get(device);
                let Some(control) = device.and_then(|d| d.controls.get(control)) else { continue };
                let cue = control.cue;
                let mut nth = |controller: u16| {
                    let count = seen.entry((channel, controller, cue)).or_insert(0);
                    *count += 1;
                    *count - 1
                };
                match &control.how {
                    How::Cc { cc, .. } => Wire::Cc(channel, *cc, nth(*cc)),
                    How::CcStates { cc, .. } => {
                        values = true;
                        match nth(*cc) {
                            n if cue == Cue::default() => Wire::Cc(channel, *cc, n),
                            n => Wire::Cue(channel, Sends::Cc(*cc), cue, n),
                        }
                    }
                    How::Programs { from, .. } => {
                        programs = Programs::of(&compiled.book, channel, *from, control);
                        match nth(u16::MAX) {
                            n if cue == Cue::default() => Wire::Programs(channel, n),
                            n => Wire::Cue(channel, Sends::Programs, cue, n),
                        }
                    }
                    How::Messages { .. } => {
                        let sent = |s: &State| s.messages.iter().flat_map(|m| m.bytes(channel)).collect();
                        programs.states = control.states.iter().map(|s| Store::Bytes(Arc::new(sent(s)))).collect();
                        Wire::Cue(channel, Sends::Messages, cue, nth(u16::MAX - 1))
                    }
                    _ => continue,
                }
            }
        };
        out.push(Column { wire, cell: at, steps: cell.steps, programs, values });
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
            Value::Moved(travel) => Store::Moved(travel.stored(), self.steps),
            Value::Step(step) => Store::Step(step, self.steps),
            Value::Program(value) if self.values => Store::Step(value, CC_STEPS),
            Value::Program(program) => self.programs.sent(1, program),
            Value::State(state) => self.programs.states.get(state as usize).cloned().unwrap_or(Store::Unknown),
            Value::Input(input) => Store::Input(input),
            Value::Order(order) => Store::Order(order),
            Value::Unknown => Store::Unknown,
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
            Store::Input(input) => Value::Input(input),
            Store::Order(order) => Value::Order(order),
            Store::Moved(travel, steps) if steps == self.steps => Value::Moved(travel),
            Store::Step(value, CC_STEPS) if self.values => Value::Program(value),
            Store::Step(step, steps) if steps == self.steps => Value::Step(step),
            Store::Moved(..) | Store::Step(..) | Store::Unknown => Value::Unknown,
            Store::Program(..) | Store::Bytes(_) if !self.programs.states.is_empty() => {
                let state = self.programs.states.iter().position(|s| *s == store);
                state.map_or(Value::Unknown, |s| Value::State(s as u16))
            }
            Store::Program(_, program) => Value::Program(program + self.programs.first),
            Store::Bytes(_) => Value::Unknown,
        }
    }
}

/// A stored row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stored {
    /// The slot.
    pub slot: Slot,
    /// The scene, in its own book.
    pub scene: SceneId,
}

/// The filled slots, in slot order.
pub fn memory(compiled: &Compiled) -> Vec<Stored> {
    let stored = compiled.presets.iter().filter_map(|p| Some(Stored { slot: p.slot?, scene: p.scene }));
    stored.collect()
}

/// The letters of a scene's name that the unit shows; None when it shows no names.
pub fn label(compiled: &Compiled, scene: SceneId) -> Option<&str> {
    let letters = compiled.book.board.switcher.as_ref()?.display? as usize;
    let name = &*compiled.book.show.scene(scene)?.name;
    Some(name.char_indices().nth(letters).map_or(name, |(at, _)| name.get(..at).unwrap_or(name)))
}
