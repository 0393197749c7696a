//! Settled or free: judged last, on the finished row.

use fixedbitset::FixedBitSet;

use super::fault::Fault;
use super::ranks::{Claims, NOBODY};
use super::row::{Answer, Setting};
use super::{Cell, Cells, Value};
use crate::book::{Book, Control, How, Scene};
use crate::ids::{ColumnId, ControlId, DeviceId, Numbered, SayingId, SceneId};

/// What is known of a row before it is judged.
pub(super) struct Statements<'s> {
    pub id: SceneId,
    pub scene: &'s Scene,
    /// The scene's statements.
    pub state: &'s Claims,
    /// The default's, below them.
    pub default: &'s Claims,
}

/// Finishes rows one after the other.
pub(super) struct Judge<'b> {
    book: &'b Book,
    /// For each device: whether it sounds in the row at hand.
    sounds: Numbered<DeviceId, Answer>,
    columns: Vec<Column>,
    controls: Vec<Wanted<'b>>,
    /// The columns of tempi, as far as they were understood.
    tempi: Vec<ColumnId>,
    settled: FixedBitSet,
    free: FixedBitSet,
}

/// What is known of a column before any row.
struct Column {
    /// The devices that use it.
    users: Box<[DeviceId]>,
    /// Part of what may settle it was not understood: of the default, or of one of them.
    unsure: bool,
    /// What it holds when it is free and nothing prefers another value.
    rest: Value,
    /// What it holds when nobody says anything and nothing uses it.
    unsaid: Value,
    /// What the default says, and by which statement.
    default: (SayingId, Value),
    /// That statement settles nothing else.
    alone: bool,
}

/// A control that must be settled when its device sounds.
struct Wanted<'b> {
    device: DeviceId,
    control: ControlId,
    how: &'b Control,
    columns: &'b [ColumnId],
    /// It engages the device itself.
    switches: bool,
}

impl<'b> Judge<'b> {
    pub(super) fn new(book: &'b Book, cells: &'b Cells, default: &Claims) -> Judge<'b> {
        let faulty = |device: DeviceId| book.board.devices.get(device).is_some_and(|d| d.faulty);
        let column = |(c, cell): (ColumnId, &Cell)| {
            let mut reach = 0;
            for said in default.claims(c).filter_map(|s| book.show.sayings.get(s)) {
                cells.settles(said.what, |_, _| reach += 1);
            }
            let unsure = book.show.default_faulty || cell.users.iter().any(|(device, _)| faulty(*device));
            Column {
                users: if cell.always() {
                    Box::default()
                } else {
                    cell.users.iter().map(|(device, _)| *device).collect()
                },
                unsure,
                rest: cell.rest,
                unsaid: if cell.always() && unsure { Value::Unknown } else { cell.unsaid },
                default: (default.by(c), default.value.get(c.index()).copied().unwrap_or(Value::Unknown)),
                alone: reach == 1,
            }
        };
        let controls = book.board.devices.pairs().flat_map(|(d, of)| {
            let wanted = move |(c, how): (ControlId, &'b Control)| {
                let (device, control) = (d, c);
                Wanted {
                    device,
                    control,
                    how,
                    columns: cells.of_control(device, control),
                    switches: of.switches(control),
                }
            };
            of.controls.pairs().map(wanted)
        });
        let columns: Vec<Column> = cells.list.pairs().map(column).collect();
        let known = cells.list.pairs().zip(&columns);
        Judge {
            book,
            sounds: book.board.devices.iter().map(|_| Answer::No).collect(),
            tempi: known.filter(|((_, cell), column)| cell.tempo && !column.unsure).map(|((c, _), _)| c).collect(),
            columns,
            controls: controls.collect(),
            settled: FixedBitSet::with_capacity(cells.len()),
            free: FixedBitSet::with_capacity(cells.len()),
        }
    }

    /// The free cells of the row just finished.
    pub(super) fn free_cells(&self) -> impl Iterator<Item = usize> {
        self.free.ones()
    }

    /// Writes the row of a scene from its statements, the default below them, and what nobody said.
    pub(super) fn finish(&mut self, cells: &Cells, said: &Statements<'_>, row: &mut [Value], faults: &mut Vec<Fault>) {
        let Statements { id, scene, state, default } = *said;
        self.settled.clear();
        let claims = state.by.iter().copied().zip(state.value.iter().copied());
        for (c, ((slot, column), (by, value))) in row.iter_mut().zip(&self.columns).zip(claims).enumerate() {
            let (mut by, mut value) = (by, value);
            if by == NOBODY && column.default.0 != NOBODY && !state.touched.contains(c) {
                (by, value) = if column.alone {
                    column.default
                } else {
                    self.default_says(cells, state, default, ColumnId::nth(c))
                };
            }
            if scene.faulty && !scene.own.holds(by) {
                value = Value::Unknown;
                by = NOBODY;
                self.settled.insert(c);
            }
            if by != NOBODY {
                self.settled.insert(c);
            }
            *slot = if by == NOBODY && !scene.faulty && column.users.is_empty() { column.unsaid } else { value };
        }
        self.listen(cells, row);
        self.free_or_unknown(row);
        self.timed(cells, id, row);
        if !scene.faulty && (!scene.repeated || scene.pressed != 0) {
            self.complain(cells, id, row, faults);
        }
    }

    /// The default's statement for a cell and its value: the live ones, which nothing above touches in any cell.
    fn default_says(&self, cells: &Cells, state: &Claims, default: &Claims, cell: ColumnId) -> (SayingId, Value) {
        let mut found = (NOBODY, Value::Unknown);
        for saying in default.claims(cell) {
            let Some(said) = self.book.show.sayings.get(saying) else { continue };
            let mut live = true;
            let mut says = Value::Unknown;
            cells.settles(said.what, |c, value| {
                live &= !state.touched.contains(c.index());
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

    fn listen(&mut self, cells: &Cells, row: &[Value]) {
        let held = |column: ColumnId| row.get(column.index()).copied().unwrap_or(Value::Unknown);
        for (device, sounds) in self.sounds.pairs_mut() {
            *sounds = cells.sounds(device, held);
        }
    }

    fn sounds(&self, device: DeviceId) -> Answer {
        self.sounds.get(device).copied().unwrap_or(Answer::No)
    }

    fn free_or_unknown(&mut self, row: &mut [Value]) {
        self.free.clear();
        for (c, (slot, column)) in row.iter_mut().zip(&self.columns).enumerate() {
            let Some(sounds) = column.users.iter().map(|device| self.sounds(*device)).max() else { continue };
            let settled = self.settled.contains(c);
            // What nobody seems to settle, what was not understood may.
            let known = settled || !column.unsure;
            if sounds == Answer::No && known {
                self.free.insert(c);
            }
            if !settled {
                *slot = if sounds == Answer::No && known { column.rest } else { Value::Unknown };
            }
        }
    }

    /// What songs say of a tempo, where no scene says anything and the pedal is heard; nothing is sent where they say nothing.
    fn timed(&mut self, cells: &Cells, id: SceneId, row: &mut [Value]) {
        for c in &self.tempi {
            let c = c.index();
            if self.settled.contains(c) || self.free.contains(c) {
                continue;
            }
            let held = |column: ColumnId| row.get(column.index()).copied().unwrap_or(Value::Unknown);
            let value = cells.played(self.book, id, ColumnId::nth(c), held);
            self.settled.insert(c);
            if let Some(slot) = row.get_mut(c) {
                *slot = value;
            }
        }
    }

    fn complain(&self, cells: &Cells, id: SceneId, row: &[Value], faults: &mut Vec<Fault>) {
        let heard = cells.guitar_cell().filter(|c| !self.settled.contains(c.index()));
        if heard.is_some() && !self.book.show.default_faulty {
            faults.push(Fault::GuitarUnsettled { scene: id });
        }
        for Wanted { device, control, how, columns, switches } in &self.controls {
            let (device, control) = (*device, *control);
            // Neither in nor out is a mistake of what engages it; the rest matters while it sounds.
            if !switches && self.sounds(device) != Answer::Yes {
                continue;
            }
            if !switches && columns.iter().any(|c| !self.settled.contains(c.index())) {
                if !self.book.show.default_faulty {
                    faults.push(Fault::Unsettled { scene: id, device, control });
                }
            } else if how.momentary() {
                // It is sent a pulse, or nothing; held open or closed it would do neither.
                let held = |c: &ColumnId| matches!(row.get(c.index()), Some(Value::On | Value::Off));
                if columns.iter().any(held) {
                    faults.push(Fault::PatternUnknown { scene: id, device, control });
                }
            } else if matches!(how.how, How::Remote { .. }) {
                let held = |column: ColumnId| row.get(column.index()).copied().unwrap_or(Value::Unknown);
                if cells.setting(device, control, held) == Some(Setting::Unlisted) {
                    faults.push(Fault::PatternUnknown { scene: id, device, control });
                }
            }
        }
    }
}
