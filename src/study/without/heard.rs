//! What is heard of a scene, as a row of marks, and how far two such rows lie apart.

use std::sync::Arc;

use crate::book::{Book, DeviceKind};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Answer, Setting, Table, Value};
use crate::study::inside::Inside;

/// How one device, or one control of it, is heard.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Mark {
    /// Not heard.
    Out,
    /// A device that is heard.
    In,
    /// A control of such a device, and how it stands.
    Set(Setting),
}

/// What a column of marks is of: a device, or a control of it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Column {
    /// The device, an index of `Board::devices`.
    pub device: DeviceId,
    /// The control, an index of the device's; None for the device itself.
    pub control: Option<ControlId>,
    /// Steps of a level; 0 for a choice.
    steps: u16,
}

/// How much each difference counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Weights {
    /// An amplifier that sounds or not.
    pub amp: u32,
    /// A pedal or buffer that is in or not.
    pub pedal: u32,
    /// A choice in another state, a level under the foot or not.
    pub state: u32,
    /// A level from one end of its range to the other; the rest in proportion.
    pub level: u32,
}

impl Default for Weights {
    fn default() -> Weights {
        Weights { amp: 8, pedal: 4, state: 2, level: 2 }
    }
}

/// Distances are counted in hundredths of a weight, so that equal ones are equal.
pub const HUNDREDTHS: u64 = 100;

/// The columns of a board.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    /// Device by device: the device itself, then its controls.
    pub list: Vec<Column>,
    /// What stands in an insert or a leg.
    inside: Option<Arc<Inside>>,
}

/// What a part that died does to a row, before anyone hears it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Blow {
    /// Cells that hold something else, whatever a preset stores.
    pub cells: Vec<(ColumnId, Held)>,
    /// Devices that nothing passes any more, or that are taken out of the way.
    pub out: Vec<DeviceId>,
    /// A state of an amplifier on which it is silent: device, control, state.
    pub silent: Option<(DeviceId, ControlId, u16)>,
    /// Only what is played on this guitar is touched.
    pub guitar: Option<usize>,
}

/// What stands in a cell that nothing reaches.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Held {
    /// This, always.
    At(Value),
    /// No foot moves it any more that fed its port: it stays.
    NoFoot,
    /// The treadle on this input moves it no more: it stays.
    NoTreadle(u8),
}

impl Blow {
    fn held(&self, cell: ColumnId, stored: Value) -> Value {
        match self.cells.iter().find(|(at, _)| *at == cell) {
            Some((_, Held::At(value))) => *value,
            Some((_, Held::NoFoot)) if matches!(stored.unstarted(), Value::Foot) => Value::Stays,
            Some((_, Held::NoTreadle(input))) if matches!(stored, Value::Moved(t) if t.input() == *input) => {
                Value::Stays
            }
            _ => stored,
        }
    }
}

impl Columns {
    /// Those of a book's board. A device that is watched is not heard.
    pub fn of(book: &Book, table: &Table) -> Columns {
        let mut list = Vec::new();
        for (device, d) in book.board.devices.numbered().filter(|(device, _)| !device.watched()) {
            list.push(Column { device: d, control: None, steps: 0 });
            for (control, c) in device.controls.numbered().filter(|(_, c)| !device.switches(*c)) {
                let column = table.cells.of_control(d, c).first().and_then(|at| table.cells.list.get(*at));
                let steps = column.filter(|_| control.how.level().is_some()).map_or(0, |cell| cell.steps);
                list.push(Column { device: d, control: Some(c), steps });
            }
        }
        Columns { list, inside: Inside::of(&book.board).map(Arc::new) }
    }

    /// What stands in an insert or a leg.
    pub fn inside(&self) -> Option<&Inside> {
        self.inside.as_deref()
    }

    /// What is heard of a scene, after a blow. Where no amplifier sounds, nothing is.
    pub fn hear(&self, book: &Book, table: &Table, scene: SceneId, blow: &Blow) -> Vec<Mark> {
        let row = table.row(scene);
        let held = |cell: ColumnId| blow.held(cell, row.get(cell.index()).copied().unwrap_or(Value::Unknown));
        let cells = &table.cells;
        let silent = |d: DeviceId| {
            blow.silent.is_some_and(|(device, control, state)| {
                device == d && cells.setting(d, control, held) == Some(Setting::State(state))
            })
        };
        let alive = |d: DeviceId| {
            if blow.out.contains(&(d)) { Answer::No } else { cells.sounds(d, held) }
        };
        let cut = self.inside.as_ref().map_or(Vec::new(), |inside| inside.cut_off(&book.board, &alive));
        let mut marks = Vec::with_capacity(self.list.len());
        let (mut sounds, mut amps, mut loud) = (false, false, false);
        for column in &self.list {
            let d = column.device;
            let Some(control) = column.control else {
                let device = book.board.devices.get(d);
                let fed = device.and_then(|d| d.fed_by).and_then(|f| cells.output_cell(f.value));
                let off = fed.is_some_and(|cell| held(cell) == Value::Off);
                sounds = !blow.out.contains(&d)
                    && !off
                    && !cut.contains(&d)
                    && cells.sounds(d, held) != Answer::No
                    && !silent(d);
                if device.is_some_and(|d| d.kind == DeviceKind::Amp) {
                    (amps, loud) = (true, loud || sounds);
                }
                marks.push(if sounds { Mark::In } else { Mark::Out });
                continue;
            };
            let setting = cells.setting(d, control, held).filter(|_| sounds);
            marks.push(setting.map_or(Mark::Out, Mark::Set));
        }
        if amps && !loud {
            marks.fill(Mark::Out);
        }
        marks
    }

    /// How far apart two rows are, in hundredths.
    pub fn distance(&self, book: &Book, a: &[Mark], b: &[Mark], weights: &Weights) -> u64 {
        let mut sum = 0;
        let mut both = false;
        for (column, (a, b)) in self.list.iter().zip(a.iter().zip(b)) {
            match column.control {
                None => {
                    both = *a == Mark::In && *b == Mark::In;
                    if a != b {
                        let amp = book.board.devices.get(column.device).map(|d| d.kind) == Some(DeviceKind::Amp);
                        sum += u64::from(if amp { weights.amp } else { weights.pedal }) * HUNDREDTHS;
                    }
                }
                Some(_) if both && a != b => sum += column.apart(*a, *b, weights),
                Some(_) => {}
            }
        }
        sum
    }
}

impl Column {
    fn apart(&self, a: Mark, b: Mark, weights: &Weights) -> u64 {
        match (a, b) {
            (Mark::Set(Setting::Step(a)), Mark::Set(Setting::Step(b))) if self.steps > 1 => {
                let (way, all) = (u64::from(a.abs_diff(b)), u64::from(self.steps - 1));
                (2 * u64::from(weights.level) * HUNDREDTHS * way + all) / (2 * all)
            }
            _ => u64::from(weights.state) * HUNDREDTHS,
        }
    }
}
