//! What each scene does to level and treble, for each guitar. A figure that needs a value nobody stated is absent.

pub mod buffers;
pub mod circuit;
pub mod complex;
pub mod figures;
mod gather;
pub mod overview;
pub mod path;
pub mod polarity;
pub mod sums;
pub mod trim;
pub mod words;

use std::borrow::Cow;

use rustc_hash::FxHashMap;

use crate::book::electric::LegLevel;
use crate::book::{Book, Device};
use crate::ids::{ColumnId, ControlId, DeviceId, Numbered, SceneId};
use crate::settle::{Answer, Row, Table, Value};
use crate::study::route::Route;
use crate::syntax::units::Dimension;
use figures::Figures;
use path::{Missing, Path, PathFinder, Tried};

pub use overview::SignalOverview;

/// Scenes that put the same loops and outputs into the path sound through one circuit.
#[derive(Clone, Debug, Default)]
pub struct Groups {
    /// For each scene, its group.
    pub of_scene: Numbered<SceneId, u32>,
    /// For each group, one of its scenes.
    pub first: Vec<SceneId>,
    loops: (usize, usize),
    outputs: (usize, usize),
    order: Option<ColumnId>,
}

impl Groups {
    /// Sorts the scenes of a table.
    pub fn of(book: &Book, table: &Table) -> Groups {
        let switcher = book.board.switcher.as_ref();
        let (loops, outputs) = switcher.map_or((0, 0), |s| (usize::from(s.loops), usize::from(s.outputs)));
        let from = table.cells.output_cell(1).map_or(0, ColumnId::index);
        let mut groups = Groups { loops: (0, loops), outputs: (from, from + outputs), ..Groups::default() };
        let mut known: FxHashMap<Box<[Value]>, u32> = FxHashMap::default();
        let mut key = Vec::new();
        groups.order = table.cells.order_cell();
        let faders: Vec<ColumnId> = moved_legs(book).filter_map(|(d, _, c)| fader(table, d, c)).collect();
        for scene in book.show.scenes.ids() {
            key.clear();
            key.extend_from_slice(groups.loops(table, scene));
            key.extend_from_slice(groups.outputs(table, scene));
            key.extend(groups.order.map(|cell| table.value(scene, cell)));
            key.extend(switched(book, table, scene).iter().map(|(_, value)| *value));
            key.extend(faders.iter().map(|cell| table.value(scene, *cell)));
            let group = known.get(key.as_slice()).copied().unwrap_or_else(|| {
                let group = groups.first.len() as u32;
                groups.first.push(scene);
                known.insert(key.as_slice().into(), group);
                group
            });
            groups.of_scene.push(group);
        }
        groups
    }

    /// The loop cells of a scene.
    pub fn loops<'t>(&self, table: &'t Table, scene: SceneId) -> &'t [Value] {
        table.row(scene).get(self.loops.0..self.loops.1).unwrap_or(&[])
    }

    /// Where leads run in a scene, with its own order of loops.
    pub fn route<'r>(&self, book: &Book, table: &Table, scene: SceneId, route: &'r Route) -> Cow<'r, Route> {
        match self.order.map(|cell| table.value(scene, cell)) {
            Some(Value::Order(order)) => route.ordered(&book.board, order),
            _ => Cow::Borrowed(route),
        }
    }

    /// The output cells of a scene.
    pub fn outputs<'t>(&self, table: &'t Table, scene: SceneId) -> &'t [Value] {
        table.row(scene).get(self.outputs.0..self.outputs.1).unwrap_or(&[])
    }
}

/// Devices that a control of their own engages, each with whether it is on in a scene.
pub fn switched(book: &Book, table: &Table, scene: SceneId) -> Vec<(DeviceId, Value)> {
    let row = Row::of(book, table, scene);
    let devices = book.board.devices.pairs().filter(|(_, d)| d.engaged_by.is_some());
    let stands = devices.map(|(index, _)| match row.sounds(index) {
        Answer::Yes => (index, Value::On),
        Answer::No => (index, Value::Off),
        Answer::Maybe => (index, Value::Unknown),
    });
    stands.collect()
}

/// Legs whose loudness a level of their device moves: device, leg, control.
fn moved_legs(book: &Book) -> impl Iterator<Item = (DeviceId, u16, ControlId)> {
    let legs = |(d, device): (DeviceId, &Device)| {
        let legs = device.electric.legs.iter().zip(0u16..);
        let moved = legs.filter_map(move |(leg, number)| match leg.level {
            LegLevel::By(control) => Some((d, number, control)),
            _ => None,
        });
        moved.collect::<Vec<_>>()
    };
    book.board.devices.pairs().flat_map(legs)
}

/// The column of a level.
fn fader(table: &Table, device: DeviceId, control: ControlId) -> Option<ColumnId> {
    table.cells.of_control(device, control).first().copied()
}

/// How loud each leg comes into its sum in a scene, in dB: as stated, or as its level is stored; None where nobody said it,
/// where a foot moves it, and for a level that is not in dB.
pub fn leg_levels(book: &Book, table: &Table, scene: SceneId) -> Vec<(DeviceId, u16, Option<f64>)> {
    let row = Row::of(book, table, scene);
    let stored = |device: DeviceId, control: ControlId| {
        let (from, to) = book.board.devices.get(device)?.controls.get(control)?.how.level()?;
        let cell = fader(table, device, control)?;
        let Value::Step(step) = row.value(cell) else { return None };
        let last = f64::from(table.cells.list.get(cell)?.steps.checked_sub(1).filter(|s| *s > 0)?);
        let level = from.value() + (to.value() - from.value()) * f64::from(step) / last;
        (from.dimension == Dimension::Decibel).then_some(level)
    };
    let level = |device: DeviceId, level: LegLevel| match level {
        LegLevel::Stated(said) => Some(said.value.value()),
        LegLevel::By(control) => stored(device, control),
        LegLevel::Unsaid => None,
    };
    let devices = book.board.devices.pairs();
    let legs = devices.flat_map(|(d, device)| device.electric.legs.iter().zip(0u16..).map(move |(leg, n)| (d, n, leg)));
    legs.map(|(d, n, leg)| (d, n, level(d, leg.level))).collect()
}

/// What is known of one path.
#[derive(Clone, PartialEq, Debug)]
pub struct Found {
    /// The path.
    pub path: Path,
    /// Its figures, as if nothing were missing: ask the functions below.
    figures: Option<Figures>,
}

impl Found {
    /// Measures a path.
    pub fn of(path: Path) -> Found {
        let measured = !path.silent && !path.missing.iter().any(|m| shapes(*m)) && !path.circuit.segments.is_empty();
        let figures = measured.then(|| figures::figures(&path.circuit));
        Found { path, figures }
    }

    /// The level at 1 kHz in dB re the pickup's voltage.
    pub fn level_1khz(&self) -> Option<f64> {
        // A volume turned right down leaves no level to speak of.
        self.figures.filter(|f| self.path.missing.is_empty() && f.level_1khz.is_finite()).map(|f| f.level_1khz)
    }

    /// All is known, and no level is left at 1 kHz: legs cancel each other, or a volume is turned right down.
    pub fn nothing_left(&self) -> bool {
        self.path.missing.is_empty() && self.figures.is_some_and(|f| !f.level_1khz.is_finite())
    }

    /// Where the curve is highest, in Hz; None where it only falls.
    pub fn peak_hz(&self) -> Option<f64> {
        self.figures?.peak.map(|(hz, _)| hz)
    }

    /// The level there, in dB re the pickup's voltage.
    pub fn peak_db(&self) -> Option<f64> {
        self.figures.filter(|_| self.path.missing.is_empty())?.peak.map(|(_, db)| db)
    }

    /// Where the curve lies 3.0103 dB below its low end, in Hz.
    pub fn minus_3db(&self) -> Option<f64> {
        self.figures?.minus_3db
    }

    /// The capacitance of all leads that hang on the guitar, in farad.
    pub fn guitar_load(&self) -> Option<f64> {
        let first = self.path.circuit.segments.first()?;
        (!self.path.unsure_of_guitar_load && !self.path.silent).then_some(first.farad)
    }

    /// The heaviest loading: its loss at low frequency in dB, and the number of its segment.
    pub fn worst_loading(&self) -> Option<(f64, usize)> {
        let lacks = self.path.missing.iter().any(|m| {
            !matches!(m, Missing::Gain(_) | Missing::Leg(..) | Missing::Moved(..) | Missing::Patch | Missing::Cable(_))
        });
        if lacks || self.path.silent {
            return None;
        }
        let losses = self.path.circuit.segments.iter().enumerate().map(|(i, s)| (s.loading(), i));
        losses.min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The curve, where nothing is missing: Hz and dB.
    pub fn curve(&self, from: f64, to: f64, points: usize) -> Option<Vec<(f64, f64)>> {
        self.level_1khz().map(|_| self.path.circuit.curve(from, to, points))
    }
}

/// True for a value without which the shape of the curve is not known; a gain only lifts it.
pub fn shapes(missing: Missing) -> bool {
    !matches!(missing, Missing::Gain(_))
}

/// All paths of a book.
pub struct Signal<'b> {
    book: &'b Book,
    table: &'b Table,
    /// Where leads run.
    pub route: Route,
    /// Which scenes share a circuit.
    pub groups: Groups,
    found: FxHashMap<(u32, usize), Option<std::rc::Rc<Found>>>,
}

impl<'b> Signal<'b> {
    /// Looks at a book; nothing is measured yet.
    pub fn new(book: &'b Book, table: &'b Table) -> Signal<'b> {
        Signal {
            book,
            table,
            route: Route::of(&book.board),
            groups: Groups::of(book, table),
            found: FxHashMap::default(),
        }
    }

    /// The book.
    pub fn book(&self) -> &'b Book {
        self.book
    }

    /// Its table.
    pub fn table(&self) -> &'b Table {
        self.table
    }

    /// What a scene does to a guitar; None when no chain starts at it.
    pub fn found(&mut self, scene: SceneId, guitar: usize) -> Option<std::rc::Rc<Found>> {
        let group = *self.groups.of_scene.get(scene)?;
        if let Some(found) = self.found.get(&(group, guitar)) {
            return found.clone();
        }
        let found = self.path(scene, guitar, Tried::NONE).map(|path| std::rc::Rc::new(Found::of(path)));
        self.found.insert((group, guitar), found.clone());
        found
    }

    /// The path of a scene and a guitar, with buffers tried in some places.
    pub fn path(&self, scene: SceneId, guitar: usize, tried: Tried<'_>) -> Option<Path> {
        let loops = self.groups.loops(self.table, scene);
        let outputs = self.groups.outputs(self.table, scene);
        if self.route.faulty {
            return None;
        }
        let switched = &switched(self.book, self.table, scene);
        let levels = &leg_levels(self.book, self.table, scene);
        let route = &*self.groups.route(self.book, self.table, scene, &self.route);
        PathFinder { book: self.book, route, loops, outputs, switched, levels, tried, guitar }.path()
    }
}
