//! The rows of a table, read: scenes with their slots, what stands in each cell, and what the switches inside presets do.

use rustc_hash::FxHashMap;

use super::fault::{Fault, Place};
use super::heads::Target;
use super::names::{self, Names};
use super::presses::{self, Told};
use super::rows;
use super::words::{self, Says};
use crate::Compiled;
use crate::book::inside::Does;
use crate::book::song::AGAIN;
use crate::book::{Slot, SlotRange};
use crate::ids::ColumnId;
use crate::settle::{CellKind, Value};
use crate::source::sheet::{Line, Sheet};

/// A column of the table that says something.
#[derive(Clone, Debug)]
pub(super) struct Column {
    pub at: usize,
    pub head: String,
    pub target: Target,
}

/// A scene, and where it stands in the table.
#[derive(Clone, Debug, Default)]
pub(super) struct Scene {
    pub name: String,
    /// The text behind the name.
    pub text: String,
    /// Its places, a second row of a slot among them.
    pub slots: Vec<Slot>,
    /// The scene that its own switch, pressed again, calls.
    pub again: Option<usize>,
    /// The first row that holds it.
    pub row: usize,
    /// What each cell of the board stores; None where nothing was said.
    pub values: Vec<Option<Value>>,
    /// What each switch inside its preset is said to do, and the statement that was found for it; None where nothing was said.
    pub presses: Vec<Option<Told>>,
    pub does: Vec<Option<Does>>,
    /// How the cells stand that those statements move.
    pub moved: Vec<(ColumnId, Value)>,
}

/// All that was read.
#[derive(Default)]
pub(super) struct Read {
    pub scenes: Vec<Scene>,
    pub faults: Vec<Fault>,
    /// Rows with a slot and nothing in it.
    pub empty: usize,
}

struct Reader<'r> {
    compiled: &'r Compiled,
    columns: &'r [Column],
    range: Option<SlotRange>,
    /// Numbers lost the look they had.
    bare: bool,
    /// Columns in which some row says no.
    says_off: Vec<bool>,
    /// What a text was read as, by column.
    known: Vec<FxHashMap<String, Says>>,
    /// The same of switches inside presets.
    told: Vec<FxHashMap<String, Result<Told, String>>>,
    /// By what is written for a name: the scene.
    scenes: FxHashMap<String, usize>,
    /// The row of each slot.
    slots: FxHashMap<Slot, usize>,
    names: Names,
    read: Read,
    /// For each scene the texts of its first row, for comparing others with.
    first: Vec<usize>,
}

/// Reads all rows below the heads.
pub(super) fn read(compiled: &Compiled, sheet: &Sheet, head: usize, columns: &[Column]) -> Read {
    let below: Vec<&Line> = sheet.lines.iter().filter(|line| line.number > head).collect();
    let off = |column: &Column| {
        let mut texts = below.iter().filter_map(|line| line.cells.get(column.at));
        match column.target {
            Target::Inside(_) => texts.any(|text| presses::says_nothing(text)),
            target => words::marks(target, &compiled.table.cells) && texts.any(|text| words::says_off(text)),
        }
    };
    let board = &compiled.book.board;
    let mut reader = Reader {
        compiled,
        columns,
        bare: sheet.bare,
        range: board.switcher.as_ref().and_then(|s| s.slots),
        says_off: columns.iter().map(off).collect(),
        known: vec![FxHashMap::default(); columns.len()],
        told: vec![FxHashMap::default(); columns.len()],
        scenes: FxHashMap::default(),
        slots: FxHashMap::default(),
        names: Names::of(&compiled.book),
        read: Read::default(),
        first: Vec::new(),
    };
    for (at, line) in below.iter().enumerate() {
        reader.line(at, line, &below);
    }
    if let Some(range) = reader.range {
        rows::second(&mut reader.read, &reader.slots, range);
    }
    reader.read
}

impl Reader<'_> {
    fn text<'l>(&self, line: &'l Line, target: Target) -> Option<(usize, &'l str)> {
        let column = self.columns.iter().find(|c| c.target == target)?;
        Some((column.at, line.cells.get(column.at).map_or("", String::as_str)))
    }

    fn line(&mut self, at: usize, line: &Line, all: &[&Line]) {
        let (name_at, name) = self.text(line, Target::Scene).unwrap_or_default();
        if name.is_empty() || words::says_nothing(name) {
            // A slot that nothing was put into is no scene.
            let place =
                |c: &&Column| !matches!(c.target, Target::Slot | Target::Bank | Target::Switch | Target::Nothing);
            let held = |c: &Column| {
                line.cells
                    .get(c.at)
                    .is_some_and(|text| !words::says_nothing(text) && text != "0" && !presses::says_nothing(text))
            };
            if self.columns.iter().filter(place).any(held) {
                self.read.faults.push(Fault::NoName { at: Place { row: line.number, column: name_at } });
            } else {
                self.read.empty += 1;
            }
            return;
        }
        let values = self.values(line);
        let presses = self.presses(line);
        let slot = self.slot(line);
        if let Some(slot) = slot {
            if let (Some(first), Some(range)) = (self.slots.get(&slot), self.range) {
                let slot = range.show(slot);
                self.read.faults.push(Fault::SlotTwice { slot, first: *first, second: line.number });
                return;
            }
            self.slots.insert(slot, line.number);
        }
        let slots = slot.into_iter().collect();
        let read = Scene { slots, row: line.number, values, presses, ..Scene::default() };
        match self.scenes.get(name).copied() {
            None => self.scene(at, line, name, read),
            Some(known) => self.elsewhere(known, line, read, all),
        }
    }

    fn scene(&mut self, at: usize, line: &Line, name: &str, read: Scene) {
        let mut text = self.text(line, Target::Text).map_or(String::new(), |(_, text)| names::text(text));
        let Some(like) = names::of(name) else {
            let column = self.text(line, Target::Scene).map_or(0, |(at, _)| at);
            self.read.faults.push(Fault::NoName { at: Place { row: line.number, column } });
            return;
        };
        let given = self.names.free(&like);
        if given != name && text.is_empty() {
            text = names::text(name);
        }
        self.scenes.insert(name.to_owned(), self.read.scenes.len());
        self.first.push(at);
        self.read.scenes.push(Scene { name: given, text, ..read });
    }

    /// A scene in another slot: it stores the same there, as far as anything is said.
    fn elsewhere(&mut self, scene: usize, line: &Line, read: Scene, all: &[&Line]) {
        let Some(known) = self.read.scenes.get_mut(scene) else { return };
        known.slots.extend(&read.slots);
        let cell = differs(&known.values, &read.values);
        let switch = differs(&known.presses, &read.presses);
        if cell.is_none() && switch.is_none() {
            known.values.iter_mut().zip(read.values).for_each(|(known, value)| *known = known.or(value));
            known.presses.iter_mut().zip(read.presses).for_each(|(known, told)| *known = known.take().or(told));
            return;
        }
        let Some(known) = self.read.scenes.get(scene) else { return };
        let Some(first) = self.first.get(scene).and_then(|at| all.get(*at)) else { return };
        let text = |line: &Line, at: usize| line.cells.get(at).cloned().unwrap_or_default();
        let speaks = |target: Target| match (cell, target) {
            (Some(cell), _) => self.reaches(target).contains(&ColumnId::nth(cell)),
            (None, Target::Inside(of)) => switch == Some(usize::from(of)),
            _ => false,
        };
        let of = |c: &&Column| speaks(c.target) && text(line, c.at) != text(first, c.at);
        let (column, head) = self.columns.iter().find(of).map_or((0, String::new()), |c| (c.at, c.head.clone()));
        let texts = (text(first, column), text(line, column));
        let (name, first) = (known.name.clone(), first.number);
        self.read.faults.push(Fault::Differ { scene: name, first, second: line.number, column, head, texts });
    }

    /// The cells that a column speaks of.
    fn reaches(&self, target: Target) -> Vec<ColumnId> {
        let cells = &self.compiled.table.cells;
        match target {
            Target::Cell(at) => vec![at],
            Target::Control(device, control) => cells.of_control(device, control).to_vec(),
            Target::Device(device) => {
                let found = self.compiled.book.board.devices.get(device);
                let by_loop = found.and_then(|d| cells.loop_cell(d.loop_at?.value));
                let by = || found.and_then(|d| d.engaged_by).map(|by| cells.of_control(device, by.control).to_vec());
                by_loop.map(|at| vec![at]).or_else(by).unwrap_or_default()
            }
            _ => Vec::new(),
        }
    }

    fn slot(&mut self, line: &Line) -> Option<Slot> {
        let (column, text) = match self.text(line, Target::Slot) {
            Some((at, text)) => (at, text.to_owned()),
            None => {
                let (at, bank) = self.text(line, Target::Bank)?;
                let (_, switch) = self.text(line, Target::Switch)?;
                if bank.is_empty() && switch.is_empty() {
                    return None;
                }
                let point = if switch.starts_with(|c: char| c.is_ascii_digit()) { "." } else { "" };
                (at, format!("{bank}{point}{switch}"))
            }
        };
        if words::says_nothing(&text) {
            return None;
        }
        let range = self.range?;
        let read = range.read(&text).or_else(|| range.read(&text.replace([',', '-', ':'], ".")));
        if read.is_none() {
            let at = Place { row: line.number, column };
            let second = range.rows < 2 && text.strip_suffix(AGAIN).is_some_and(|first| range.read(first).is_some());
            self.read.faults.push(match second {
                true => Fault::OneRow { at, text },
                false => Fault::Slot { at, text, range: range.says() },
            });
        }
        read
    }

    /// What the switches inside presets are said to do.
    fn presses(&mut self, line: &Line) -> Vec<Option<Told>> {
        let (board, cells) = (&self.compiled.book.board, &self.compiled.table.cells);
        let mut out = Vec::new();
        for ((column, says_off), told) in self.columns.iter().zip(&self.says_off).zip(&mut self.told) {
            let Target::Inside(switch) = column.target else { continue };
            out.resize(board.inside().1 as usize, None);
            let text = line.cells.get(column.at).map_or("", String::as_str);
            let at = Place { row: line.number, column: column.at };
            if text.is_empty() && *says_off {
                self.read.faults.push(Fault::Blank { at, head: column.head.clone() });
                continue;
            }
            let read = || if words::says_nothing(text) { Ok(Told::Nothing) } else { presses::read(text, board, cells) };
            let read = told.entry(text.to_owned()).or_insert_with(read);
            match (read, out.get_mut(usize::from(switch))) {
                (Ok(told), Some(slot)) => *slot = Some(told.clone()),
                (Err(says), _) => {
                    self.read.faults.push(Fault::Switch { at, head: column.head.clone(), says: says.clone() });
                }
                _ => {}
            }
        }
        out
    }

    fn values(&mut self, line: &Line) -> Vec<Option<Value>> {
        let (book, cells) = (&self.compiled.book, &self.compiled.table.cells);
        let mut values: Vec<Option<Value>> = vec![None; cells.len()];
        let mut by: Vec<usize> = vec![0; cells.len()];
        let columns = self.columns.iter().zip(&self.says_off).zip(&mut self.known);
        for ((column, says_off), known) in columns {
            let text = line.cells.get(column.at).map_or("", String::as_str);
            let place = Place { row: line.number, column: column.at };
            let says = match known.get(text) {
                Some(says) => says,
                None => {
                    let says = match text {
                        "" if !words::marks(column.target, cells) => Says::Nothing,
                        "" if *says_off => Says::Blank,
                        "" => words::unmarked(column.target, &book.board, cells),
                        dash if words::says_nothing(dash) && through(column.target, self.compiled) => {
                            words::unmarked(column.target, &book.board, cells)
                        }
                        text if self.bare && words::share(text, column.target, &book.board, cells) => Says::Unclear(
                            "told from a share of 1: write it as text, with its unit (`0.5 %`, `50 %`)".to_owned(),
                        ),
                        text => words::read(text, column.target, &book.board, cells),
                    };
                    known.entry(text.to_owned()).or_insert(says)
                }
            };
            match says {
                Says::Stores(stored) => {
                    for (cell, value) in stored {
                        let Some(slot) = values.get_mut(cell.index()) else { continue };
                        if slot.is_some_and(|known| known != *value) {
                            let columns = (by.get(cell.index()).copied().unwrap_or_default(), column.at);
                            let what = cells.list.get(*cell).map(|c| c.name.clone()).unwrap_or_default();
                            self.read.faults.push(Fault::Against { row: line.number, columns, what });
                        }
                        *slot = Some(*value);
                        if let Some(by) = by.get_mut(cell.index()) {
                            *by = column.at;
                        }
                    }
                }
                Says::Nothing => {}
                Says::Blank => {
                    self.read.faults.push(Fault::Blank { at: place, head: column.head.clone() });
                }
                Says::Unclear(could) => {
                    let (head, could) = (column.head.clone(), could.clone());
                    self.read.faults.push(Fault::Cell { at: place, head, text: text.to_owned(), could });
                }
            }
        }
        values
    }
}

/// Where two rows say something, and not the same.
fn differs<T: PartialEq>(one: &[Option<T>], other: &[Option<T>]) -> Option<usize> {
    one.iter().zip(other).position(|(one, other)| one.is_some() && other.is_some() && one != other)
}

/// True for a column of what is in or out, on or off: a dash there means that it is not.
fn through(target: Target, compiled: &Compiled) -> bool {
    match target {
        Target::Device(_) => true,
        Target::Cell(at) => {
            let kind = compiled.table.cells.list.get(at).map(|c| c.kind);
            matches!(kind, Some(CellKind::Loop(_) | CellKind::Output(_)))
        }
        _ => false,
    }
}
