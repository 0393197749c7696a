//! Settled or free: judged last, on the finished row.

use fixedbitset::FixedBitSet;

use super::fault::Fault;
use super::ranks::{NOBODY, State};
use super::{Cells, Value};
use crate::book::{Book, How, Scene};

/// Whether a device sounds in a row.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Sounds {
    No,
    /// Its loop is unknown, or its description is.
    Maybe,
    Yes,
}

/// What is known of a row before it is judged.
pub(super) struct Said<'s> {
    pub id: u32,
    pub scene: &'s Scene,
    /// The scene's statements.
    pub state: &'s State,
    /// The default's, below them.
    pub default: &'s State,
}

/// Finishes rows one after the other.
pub(super) struct Judge<'b> {
    book: &'b Book,
    /// For each device: its loop's column.
    loops: Vec<Option<u16>>,
    sounds: Vec<Sounds>,
    /// For each cell: the default settles it by one statement, which settles nothing else.
    alone: FixedBitSet,
    settled: FixedBitSet,
    free: FixedBitSet,
}

impl<'b> Judge<'b> {
    pub(super) fn new(book: &'b Book, cells: &Cells, default: &State) -> Judge<'b> {
        let loops = book.devices.iter().map(|d| d.loop_at.and_then(|l| cells.loop_cell(l.value))).collect();
        let sounds = vec![Sounds::No; book.devices.len()];
        let none = FixedBitSet::with_capacity(cells.len());
        let mut judge = Judge { book, loops, sounds, alone: none.clone(), settled: none.clone(), free: none };
        for cell in 0..cells.len() as u16 {
            let mut reach = 0;
            for said in default.claims(cell).filter_map(|s| book.sayings.get(s as usize)) {
                cells.settles(said.what, |_, _| reach += 1);
            }
            judge.alone.set(cell as usize, reach == 1);
        }
        judge
    }

    /// The free cells of the row just finished.
    pub(super) fn free_cells(&self) -> impl Iterator<Item = usize> {
        self.free.ones()
    }

    /// Writes the row of a scene from its statements, the default below them, and what nobody said.
    pub(super) fn finish(&mut self, cells: &Cells, said: &Said<'_>, row: &mut [Value], faults: &mut Vec<Fault>) {
        let Said { id, scene, state, default } = *said;
        self.free.clear();
        let mut settled = std::mem::take(&mut self.settled);
        settled.clear();
        for (c, slot) in row.iter_mut().enumerate() {
            let cell = c as u16;
            let mut by = state.by(cell);
            let mut value = state.value.get(c).copied().unwrap_or(Value::Unknown);
            if by == NOBODY && !state.touched.contains(c) && default.by(cell) != NOBODY {
                (by, value) = match self.alone.contains(c) {
                    true => (default.by(cell), default.value.get(c).copied().unwrap_or(Value::Unknown)),
                    false => self.default_says(cells, state, default, cell),
                };
            }
            if scene.faulty && !(scene.own.from..scene.own.to).contains(&by) {
                value = Value::Unknown;
                by = NOBODY;
                settled.insert(c);
            }
            if by != NOBODY {
                settled.insert(c);
            }
            *slot = match cells.list.get(c) {
                Some(cell) if by == NOBODY && !scene.faulty && cell.users.is_empty() => cell.unsaid,
                _ => value,
            };
        }
        self.listen(row);
        self.free_or_unknown(cells, row, &settled);
        if !scene.faulty && !scene.double {
            self.complain(cells, id, row, &settled, faults);
        }
        self.settled = settled;
    }

    /// The default's statement for a cell and its value: the live ones, which nothing above touches in any cell.
    fn default_says(&self, cells: &Cells, state: &State, default: &State, cell: u16) -> (u32, Value) {
        let mut found = (NOBODY, Value::Unknown);
        for saying in default.claims(cell) {
            let Some(said) = self.book.sayings.get(saying as usize) else { continue };
            let mut live = true;
            let mut says = Value::Unknown;
            cells.settles(said.what, |c, value| {
                live &= !state.touched.contains(c as usize);
                if c == cell {
                    says = value;
                }
            });
            match live {
                true if found.0 == NOBODY => found = (saying, says),
                true if found.1 != says => found.1 = Value::Unknown,
                _ => {}
            }
        }
        found
    }

    fn listen(&mut self, row: &[Value]) {
        let known = self.book.devices.iter().zip(&self.loops);
        for (sounds, (device, column)) in self.sounds.iter_mut().zip(known) {
            *sounds = match column.and_then(|c| row.get(c as usize)) {
                Some(Value::On) => Sounds::Yes,
                Some(Value::Off) => Sounds::No,
                Some(_) => Sounds::Maybe,
                None if device.always() => Sounds::Yes,
                None if device.faulty => Sounds::Maybe,
                None => Sounds::No,
            };
        }
    }

    fn sounds(&self, device: u16) -> Sounds {
        self.sounds.get(device as usize).copied().unwrap_or(Sounds::No)
    }

    fn free_or_unknown(&mut self, cells: &Cells, row: &mut [Value], settled: &FixedBitSet) {
        for (c, cell) in cells.list.iter().enumerate() {
            let Some(sounds) = cell.users.iter().map(|(device, _)| self.sounds(*device)).max() else { continue };
            let Some(slot) = row.get_mut(c) else { continue };
            match sounds {
                Sounds::No => {
                    self.free.insert(c);
                    if !settled.contains(c) {
                        *slot = cell.rest;
                    }
                }
                Sounds::Maybe | Sounds::Yes => {
                    if !settled.contains(c) {
                        *slot = Value::Unknown;
                    }
                }
            }
        }
    }

    fn complain(&self, cells: &Cells, id: u32, row: &[Value], settled: &FixedBitSet, faults: &mut Vec<Fault>) {
        for (d, device) in self.book.devices.iter().enumerate() {
            if self.sounds(d as u16) != Sounds::Yes {
                continue;
            }
            for (c, control) in device.controls.iter().enumerate() {
                let (device, control_at) = (d as u16, c as u16);
                let columns = cells.of_control(device, control_at);
                if columns.iter().any(|c| !settled.contains(*c as usize)) {
                    if !self.book.default_faulty {
                        faults.push(Fault::Unsettled { scene: id, device, control: control_at });
                    }
                } else if control.momentary() {
                    // It is sent a pulse, or nothing; held open or closed it would do neither.
                    let held = |c: &u16| matches!(row.get(*c as usize), Some(Value::On | Value::Off));
                    if columns.iter().any(held) {
                        faults.push(Fault::PatternUnknown { scene: id, device, control: control_at });
                    }
                } else if let How::Remote { .. } = control.how {
                    let now = || columns.iter().map(|c| row.get(*c as usize).copied().unwrap_or(Value::Unknown));
                    let listed = (0..control.states.len())
                        .any(|s| now().eq(cells.of_state(device, control_at, s as u16).iter().copied()));
                    let known = now().all(|v| v != Value::Unknown);
                    if known && !listed && !now().all(|v| v == Value::Stays) {
                        faults.push(Fault::PatternUnknown { scene: id, device, control: control_at });
                    }
                }
            }
        }
    }
}
