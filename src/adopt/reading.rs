//! The rows of a table, read: scenes with their slots, and what stands in each cell.

use crate::ids::ColumnId;
use rustc_hash::FxHashMap;

use super::fault::{Fault, Place};
use super::heads::Target;
use super::names::{self, Names};
use super::words::{self, Says};
use crate::Compiled;
use crate::book::{Slot, SlotRange};
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
#[derive(Clone, Debug)]
pub(super) struct Scene {
    pub name: String,
    /// The text behind the name.
    pub text: String,
    pub slots: Vec<Slot>,
    /// The first row that holds it.
    pub row: usize,
    /// What each cell of the board stores; None where nothing was said.
    pub values: Vec<Option<Value>>,
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
        words::marks(column.target, &compiled.table.cells)
            && below.iter().filter_map(|line| line.cells.get(column.at)).any(|text| words::says_off(text))
    };
    let board = &compiled.book.board;
    let mut reader = Reader {
        compiled,
        columns,
        bare: sheet.bare,
        range: board.switcher.as_ref().and_then(|s| s.slots),
        says_off: columns.iter().map(off).collect(),
        known: vec![FxHashMap::default(); columns.len()],
        scenes: FxHashMap::default(),
        slots: FxHashMap::default(),
        names: Names::of(&compiled.book),
        read: Read::default(),
        first: Vec::new(),
    };
    for (at, line) in below.iter().enumerate() {
        reader.line(at, line, &below);
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
            let held = |c: &Column| line.cells.get(c.at).is_some_and(|text| !words::says_nothing(text) && text != "0");
            if self.columns.iter().filter(place).any(held) {
                self.read.faults.push(Fault::NoName { at: Place { row: line.number, column: name_at } });
            } else {
                self.read.empty += 1;
            }
            return;
        }
        let values = self.values(line);
        let slot = self.slot(line);
        if let Some(slot) = slot {
            if let (Some(first), Some(range)) = (self.slots.get(&slot), self.range) {
                let slot = range.show(slot);
                self.read.faults.push(Fault::SlotTwice { slot, first: *first, second: line.number });
                return;
            }
            self.slots.insert(slot, line.number);
        }
        let Some(scene) = self.scenes.get(name).copied() else {
            self.scene(at, line, name, values, slot);
            return;
        };
        self.again(scene, line, values, all);
        if let Some(known) = self.read.scenes.get_mut(scene) {
            known.slots.extend(slot);
        }
    }

    fn scene(&mut self, at: usize, line: &Line, name: &str, values: Vec<Option<Value>>, slot: Option<Slot>) {
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
        let slots = slot.into_iter().collect();
        self.read.scenes.push(Scene { name: given, text, slots, row: line.number, values });
    }

    /// A scene in another slot: it stores the same there, as far as anything is said.
    fn again(&mut self, scene: usize, line: &Line, values: Vec<Option<Value>>, all: &[&Line]) {
        let Some(known) = self.read.scenes.get(scene) else { return };
        let pairs = known.values.iter().zip(&values);
        let differs = pairs.enumerate().find(|(_, (one, other))| one.is_some() && other.is_some() && one != other);
        let Some((cell, _)) = differs else {
            let known = self.read.scenes.get_mut(scene);
            for (known, value) in known.into_iter().flat_map(|known| &mut known.values).zip(values) {
                *known = known.or(value);
            }
            return;
        };
        let Some(first) = self.first.get(scene).and_then(|at| all.get(*at)) else { return };
        let text = |line: &Line, at: usize| line.cells.get(at).cloned().unwrap_or_default();
        let of = |c: &&Column| {
            self.reaches(c.target).contains(&ColumnId::nth(cell)) && text(line, c.at) != text(first, c.at)
        };
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
        // A second row is said of a scene, and a table does not say whose.
        let read = read.filter(|slot| !slot.again);
        if read.is_none() {
            let at = Place { row: line.number, column };
            self.read.faults.push(Fault::Slot { at, text, range: range.says() });
        }
        read
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
