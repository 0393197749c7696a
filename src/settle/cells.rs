//! The columns: what a preset stores, in board order, and what only a hand or foot does.

use rustc_hash::FxHashMap;

use crate::book::device::Contact;
use crate::book::{Board, Book, ContactValue, Control, Device, DeviceKind, End, How, LoopOrder, Travel, What};
use crate::ids::{ColumnId, ControlId, DeviceId, Numbered, SceneId};

use super::cell::{Cell, CellKind};
use super::value::Value;

/// What decides whether a device sounds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Through {
    /// The loop in this column.
    Loop(ColumnId),
    /// A control of its own: the state in which it sounds, and the one in which it does not.
    Control { control: ControlId, engaged: u16, bypassed: u16 },
    /// Nothing: it is an amp or a buffer, or always on in no loop.
    Always,
    /// Nothing: it sits in no loop.
    Nowhere,
    /// What its description says of it could not be understood.
    Unknown,
}

/// All columns of a board.
#[derive(Clone, Debug, Default)]
pub struct Cells {
    /// The columns, in order.
    pub list: Numbered<ColumnId, Cell>,
    /// Those that pulse, a bit each.
    pub(super) pulses: Vec<u64>,
    loops: u16,
    jacks: u16,
    ports: u16,
    outputs: u16,
    /// More than one input for guitars.
    guitars: bool,
    /// Inputs for treadles: each has a column of its own behind all others, which is in no table. A treadle that moves
    /// something else than it did gives up all that it moved.
    inputs: u8,
    /// For each device: what decides whether it sounds.
    through: Numbered<DeviceId, Through>,
    /// The columns of what is sent or moved by foot, by device and control.
    sent: FxHashMap<(DeviceId, ControlId), ColumnId>,
    /// All controls, device by device.
    controls: Vec<Wired>,
    /// For each device: the first of its controls; then how many there are in all.
    first: Numbered<DeviceId, usize>,
}

/// A control's columns.
#[derive(Clone, Debug)]
struct Wired {
    columns: Box<[ColumnId]>,
    /// For each state: what the columns hold.
    states: Vec<Box<[Value]>>,
}

impl Cells {
    /// The columns of a book's board.
    pub fn of(board: &Board) -> Cells {
        let mut cells = Cells::default();
        let steps = board.switcher.as_ref().map_or(128, |s| s.steps);
        if let Some(s) = &board.switcher {
            (cells.loops, cells.jacks, cells.ports, cells.outputs) = (s.loops, s.jacks, s.ports, s.outputs);
            cells.inputs = s.inputs;
        }
        for n in 1..=cells.loops {
            let always_on = board.in_loop(n).is_some_and(|d| d.always_on);
            cells.push(CellKind::Loop(n), board.loop_column(n), 0, Value::of(always_on));
            let own = board.switcher.as_ref().map_or(0, |s| s.own_loops);
            cells.list.iter_mut().next_back().into_iter().for_each(|cell| cell.apart = n > own);
        }
        for jack in 1..=cells.jacks {
            for (ring, side) in [(false, "tip"), (true, "ring")] {
                let kind = CellKind::Contact(Contact { jack, ring });
                cells.push(kind, format!("remote-{jack}-{side}"), 0, Value::Off);
            }
        }
        for n in 1..=cells.ports {
            cells.push(CellKind::Port(n), format!("expression-{n}"), steps, Value::Step(0));
        }
        for n in 1..=cells.outputs {
            // An amp whose feed could not be understood may hang on any of them.
            let lost = |d: &Device| d.faulty && d.kind == DeviceKind::Amp && d.fed_by.is_none();
            let fed = board.devices.iter().any(|d| lost(d) || d.fed_by.is_some_and(|f| f.value == n));
            cells.push(CellKind::Output(n), format!("output-{n}"), 0, Value::of(fed));
        }
        cells.guitars = board.switcher.as_ref().is_some_and(|s| s.guitar_inputs > 1);
        if cells.guitars {
            cells.push(CellKind::Guitar, "guitar-input".to_owned(), 0, Value::Unknown);
        }
        cells.trims(board);
        if board.switcher.as_ref().is_some_and(|s| s.ordered) {
            cells.push(CellKind::Order, "loop-order".to_owned(), 0, Value::Order(LoopOrder::default()));
        }
        cells.sent_and_moved(board);
        cells.connect(board);
        cells
    }

    fn push(&mut self, kind: CellKind, name: String, steps: u16, unsaid: Value) {
        self.list.push(Cell {
            kind,
            name,
            steps,
            users: Vec::new(),
            tempo: false,
            switches: false,
            listens: false,
            apart: false,
            calls: false,
            closed: false,
            rest: unsaid,
            unsaid,
        });
    }

    /// The trims that somebody speaks of, by output.
    fn trims(&mut self, board: &Board) {
        let controls = board.devices.iter().flat_map(|d| &d.controls);
        let trim = |c: &Control| if let How::Trim { output, steps, .. } = c.how { Some((output, steps)) } else { None };
        let mut trims: Vec<(u16, u16)> = controls.filter_map(trim).collect();
        trims.sort_unstable();
        trims.dedup();
        for (output, steps) in trims {
            self.push(CellKind::Trim(output), format!("trim-{output}"), steps, Value::Stays);
        }
    }

    /// Messages by channel, then what a foot moves; each by device name and its own order.
    fn sent_and_moved(&mut self, board: &Board) {
        let mut messages = Vec::new();
        let mut moved = Vec::new();
        for (d, device) in board.devices.pairs() {
            for (c, control) in device.controls.pairs() {
                let named = format!("{}.{}", device.name, control.name);
                let (device, control_at) = (d, c);
                match control.how {
                    How::Programs { channel, .. } | How::CcStates { channel, .. } | How::Messages { channel, .. } => {
                        messages.push((channel, named, device, control_at, 0))
                    }
                    How::Cc { channel, .. } => messages.push((channel, named, device, control_at, 128)),
                    How::Foot => moved.push((named, device, control_at, 0)),
                    How::FootLevel { .. } => moved.push((named, device, control_at, control.how.steps(0))),
                    _ => {}
                }
            }
        }
        let name_of = |d: DeviceId| board.devices.get(d).map_or("", |d| d.name.as_str());
        messages.sort_by_key(|(channel, _, d, c, _)| (*channel, name_of(*d), *c));
        moved.sort_by_key(|(_, d, c, _)| (name_of(*d), *c));
        for (channel, named, device, control, steps) in messages {
            let kind = CellKind::Message { channel, device, control };
            self.push(kind, format!("midi-{channel}:{named}"), steps, Value::Stays);
        }
        let clocked = |d: &Device| d.controls.iter().any(|c| c.how == How::Clock);
        if board.devices.iter().any(clocked) {
            self.push(CellKind::Clock, "clock".to_owned(), How::Clock.steps(0), Value::Stays);
        }
        for (named, device, control, steps) in moved {
            self.push(CellKind::ByFoot { device, control }, format!("by-foot:{named}"), steps, Value::Stays);
        }
    }

    fn connect(&mut self, board: &Board) {
        for (at, cell) in self.list.pairs() {
            if let CellKind::Message { device, control, .. } | CellKind::ByFoot { device, control } = cell.kind {
                self.sent.insert((device, control), at);
            }
        }
        for (d, device) in board.devices.pairs() {
            self.first.push(self.controls.len());
            self.through.push(self.way(device));
            for (c, control) in device.controls.pairs() {
                let columns = self.columns(d, c, control);
                for column in &columns {
                    if let Some(cell) = self.list.get_mut(*column) {
                        cell.users.push((d, c));
                        cell.tempo |= device.tempo == Some(c);
                        if let How::Pulses { contact, .. } = control.how {
                            (cell.kind, cell.steps) =
                                (CellKind::Taps { contact, device: d, control: c }, control.how.steps(0));
                            (cell.rest, cell.unsaid) = (Value::Stays, Value::Stays);
                        }
                        cell.calls |= device.kind == DeviceKind::Helper;
                        cell.listens |= device.listens();
                        match control.how {
                            How::Remote { momentary: true, .. } => cell.rest = Value::Stays,
                            How::Remote { normally_closed: true, .. } => (cell.rest, cell.closed) = (Value::On, true),
                            _ => {}
                        }
                    }
                }
                let states: Vec<Box<[Value]>> =
                    (0..control.states.len()).map(|s| state_values(control, s).into()).collect();
                if let Some(by) = device.engaged_by.filter(|by| by.control == c) {
                    let bypassed = states.get(usize::from(by.bypassed)).map_or(&[][..], |values| values);
                    for (column, value) in columns.iter().zip(bypassed) {
                        if let Some(cell) = self.list.get_mut(*column) {
                            (cell.switches, cell.rest, cell.unsaid) = (true, *value, *value);
                        }
                    }
                }
                self.controls.push(Wired { columns: columns.into(), states });
            }
        }
        self.first.push(self.controls.len());
        self.pulses = vec![0; self.list.len().div_ceil(64)];
        for (at, _) in self.list.iter().enumerate().filter(|(_, cell)| cell.pulses()) {
            if let Some(word) = self.pulses.get_mut(at / 64) {
                *word |= 1 << (at % 64);
            }
        }
    }

    fn way(&self, device: &Device) -> Through {
        match device.loop_at.and_then(|l| self.loop_cell(l.value)) {
            Some(column) => Through::Loop(column),
            // The switcher's own description is at fault.
            None if device.loop_at.is_some() => Through::Unknown,
            None => match device.engaged_by {
                Some(by) => Through::Control { control: by.control, engaged: by.engaged, bypassed: by.bypassed },
                None if device.always() => Through::Always,
                None if device.faulty => Through::Unknown,
                None => Through::Nowhere,
            },
        }
    }

    fn columns(&self, d: DeviceId, c: ControlId, control: &Control) -> Vec<ColumnId> {
        match &control.how {
            How::Remote { contacts, .. } => contacts.iter().filter_map(|c| self.contact_cell(c.jack, c.ring)).collect(),
            How::Port { port, .. } => self.port_cell(*port).into_iter().collect(),
            How::Pulses { contact, .. } => self.contact_cell(contact.jack, contact.ring).into_iter().collect(),
            How::Trim { output, .. } => {
                let trim = |cell: &Cell| cell.kind == CellKind::Trim(*output);
                self.list.position(trim).into_iter().collect()
            }
            How::Clock => {
                let clock = self.list.position(|cell| cell.kind == CellKind::Clock);
                clock.into_iter().collect()
            }
            _ => self.sent.get(&(d, c)).copied().into_iter().collect(),
        }
    }

    /// How many columns.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// How many columns statements speak of: those of the table, then one for each input of a treadle.
    pub fn width(&self) -> usize {
        self.len() + usize::from(self.inputs)
    }

    /// The column of an input of a treadle.
    pub fn input_cell(&self, input: u8) -> Option<ColumnId> {
        (input >= 1 && input <= self.inputs).then(|| ColumnId::nth(self.len() + usize::from(input) - 1))
    }

    /// The input whose column it is.
    pub fn input_of(&self, cell: ColumnId) -> Option<u8> {
        let input = cell.index().checked_sub(self.len())? + 1;
        (input <= usize::from(self.inputs)).then_some(input as u8)
    }

    /// True for a board with nothing to store.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// What songs say of a tempo, for where no scene says anything and the pedal is heard; nothing is sent where they say
    /// nothing.
    pub fn played(&self, book: &Book, scene: SceneId, cell: ColumnId, held: impl Fn(ColumnId) -> Value) -> Value {
        if self.muted(book, scene, held) {
            return Value::Stays;
        }
        let mut said = None;
        for saying in book.show.said(book.show.played(scene)) {
            self.settles(saying.what, |at, value| {
                if at == cell {
                    said = Some(if said.is_none_or(|known| known == value) { value } else { Value::Unknown });
                }
            });
        }
        said.unwrap_or(Value::Stays)
    }

    /// The column of a loop.
    pub fn loop_cell(&self, number: u16) -> Option<ColumnId> {
        (number >= 1 && number <= self.loops).then(|| column(number - 1))
    }

    /// The column of an output.
    pub fn output_cell(&self, number: u16) -> Option<ColumnId> {
        (number >= 1 && number <= self.outputs).then(|| column(self.first_output() + number - 1))
    }

    /// The column of the guitar input that is heard, where there is a choice.
    pub fn guitar_cell(&self) -> Option<ColumnId> {
        self.guitars.then(|| column(self.first_output() + self.outputs))
    }

    /// The column of the order of the loops, where each preset has its own.
    pub fn order_cell(&self) -> Option<ColumnId> {
        self.list.position(|cell| cell.kind == CellKind::Order)
    }

    /// The column of a contact.
    pub fn contact_cell(&self, jack: u16, ring: bool) -> Option<ColumnId> {
        (jack >= 1 && jack <= self.jacks).then(|| column(self.loops + 2 * (jack - 1) + u16::from(ring)))
    }

    fn port_cell(&self, number: u16) -> Option<ColumnId> {
        (number >= 1 && number <= self.ports).then(|| column(self.loops + 2 * self.jacks + number - 1))
    }

    fn first_output(&self) -> u16 {
        self.loops + 2 * self.jacks + self.ports
    }

    fn wired(&self, device: DeviceId, control: ControlId) -> Option<&Wired> {
        let at = self.first.get(device)? + control.index();
        self.controls
            .get(at)
            .filter(|_| self.first.get(DeviceId::nth(device.index() + 1)).is_some_and(|next| at < *next))
    }

    /// What decides whether a device sounds.
    pub fn through(&self, device: DeviceId) -> Through {
        self.through.get(device).copied().unwrap_or(Through::Nowhere)
    }

    /// The column of the loop that a device sits in.
    pub fn loop_of(&self, device: DeviceId) -> Option<ColumnId> {
        if let Through::Loop(column) = self.through(device) { Some(column) } else { None }
    }

    /// The columns that engage a device: its loop's, or those of the control that does.
    pub fn engaging(&self, device: DeviceId) -> &[ColumnId] {
        match self.through.get(device) {
            Some(Through::Loop(column)) => std::slice::from_ref(column),
            Some(Through::Control { control, .. }) => self.of_control(device, *control),
            _ => &[],
        }
    }

    /// A column that tells a device that is in from one that is out, and what it holds where it is in.
    pub fn engages(&self, device: DeviceId) -> Option<(ColumnId, Value)> {
        let Through::Control { control, engaged, bypassed } = self.through(device) else {
            return self.loop_of(device).map(|column| (column, Value::On));
        };
        let (on, off) = (self.of_state(device, control, engaged), self.of_state(device, control, bypassed));
        let columns = self.of_control(device, control).iter().zip(on.iter().zip(off));
        let mut telling = columns.filter(|(_, (on, off))| on != off);
        telling.next().map(|(column, (on, _))| (*column, *on))
    }

    /// The columns of a control.
    pub fn of_control(&self, device: DeviceId, control: ControlId) -> &[ColumnId] {
        self.wired(device, control).map_or(&[], |w| &w.columns)
    }

    /// What a state of a control puts in the control's columns.
    pub fn of_state(&self, device: DeviceId, control: ControlId, state: u16) -> &[Value] {
        self.wired(device, control).and_then(|w| w.states.get(state as usize)).map_or(&[], |values| values)
    }

    /// What each state of a control puts in its columns.
    pub fn states(&self, device: DeviceId, control: ControlId) -> &[Box<[Value]>] {
        self.wired(device, control).map_or(&[], |w| &w.states)
    }

    /// Calls `each` with every column that a saying settles, and the value it puts there.
    pub fn settles(&self, what: What, mut each: impl FnMut(ColumnId, Value)) {
        let mut one = |column: Option<ColumnId>, value| {
            if let Some(column) = column {
                each(column, value);
            }
        };
        match what {
            What::Loop { number, on } => one(self.loop_cell(number), Value::of(on)),
            What::AlwaysOn { .. } => {}
            What::Engaged { device, on } => {
                let Through::Control { control, engaged, bypassed } = self.through(device) else { return };
                let state = if on { engaged } else { bypassed };
                for (column, value) in
                    self.of_control(device, control).iter().zip(self.of_state(device, control, state))
                {
                    each(*column, *value);
                }
            }
            What::Contact { jack, ring, value } => {
                let value = match value {
                    ContactValue::Open => Value::Off,
                    ContactValue::Closed => Value::On,
                    ContactValue::Pulse => Value::Pulse,
                };
                one(self.contact_cell(jack, ring), value);
            }
            What::Port { port, value } => one(self.port_cell(port), value.into()),
            What::Output { number, on } => one(self.output_cell(number), Value::of(on)),
            What::Heard { input } => one(self.guitar_cell(), Value::Input(input)),
            What::Order { order } => one(self.order_cell(), Value::Order(order)),
            What::Mute { output } => one(self.output_cell(output), Value::Off),
            What::Choice { device, control, state } => {
                let Some(Wired { columns, states }) = self.wired(device, control) else { return };
                for (column, value) in columns.iter().zip(states.get(state as usize).into_iter().flatten()) {
                    each(*column, *value);
                }
            }
            What::Level { device, control, value } => {
                one(self.of_control(device, control).first().copied(), value.into());
            }
            What::Stays { device, control } => {
                self.of_control(device, control).iter().for_each(|column| each(*column, Value::Stays));
            }
            What::Moves { device, control, travel } => {
                one(self.of_control(device, control).first().copied(), Value::Moved(travel));
                one(self.input_cell(travel.input()), starts(travel));
            }
            What::Treadle { input, moves } => one(self.input_cell(input), moves.map_or(Value::Off, starts)),
        }
    }
}

/// A column by its number.
fn column(number: u16) -> ColumnId {
    ColumnId::nth(usize::from(number))
}

/// What stands in the column of a treadle that moves something: one treadle starts at one end.
fn starts(travel: Travel) -> Value {
    match travel.start() {
        None => Value::Foot,
        Some(End::Heel) => Value::FromHeel,
        Some(End::Toe) => Value::FromToe,
    }
}

fn state_values(control: &Control, number: usize) -> Vec<Value> {
    let Some(state) = control.states.get(number) else { return Vec::new() };
    match &control.how {
        // The state wished for: whether it takes a pulse depends on where the player comes from.
        How::Remote { contacts, momentary: true, .. } => vec![Value::State(number as u16); contacts.len()],
        // Two programs of one number in two banks are two states.
        How::Programs { .. } if control.banked() => vec![Value::State(number as u16)],
        How::Remote { .. } => state.pattern.iter().map(|closed| Value::of(*closed)).collect(),
        How::Programs { .. } | How::CcStates { .. } => state.program.map(Value::Program).into_iter().collect(),
        _ => vec![Value::State(number as u16)],
    }
}
