//! Book to table: what each scene stores in each cell, and which cells are free.

pub mod bytes;
pub mod cells;
pub mod fault;
mod judge;
mod odds;
mod ranks;
pub mod row;
mod rows;
pub mod value;
pub mod why;

pub use cells::{Cell, CellKind, Cells, Through};
pub use fault::{Fault, Speaker};
pub use row::{Answer, Row, Setting};
pub use value::Value;

use rustc_hash::FxHashMap;

use crate::book::Book;

/// One row a scene, one column a cell.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// The columns.
    pub cells: Cells,
    /// For each scene, its row.
    at: Vec<u32>,
    values: Vec<Value>,
    /// One bit a cell, whole words a row.
    free: Vec<u64>,
    /// Cells that store something else than what settling put there, by scene and cell.
    chosen: FxHashMap<(u32, u16), Value>,
}

impl Table {
    /// The values of a scene's row, in column order.
    pub fn row(&self, scene: u32) -> &[Value] {
        let width = self.cells.len();
        let from = self.at.get(scene as usize).map_or(usize::MAX, |row| *row as usize * width);
        self.values.get(from..from.saturating_add(width)).unwrap_or(&[])
    }

    /// One value.
    pub fn value(&self, scene: u32, cell: u16) -> Value {
        self.row(scene).get(cell as usize).copied().unwrap_or(Value::Unknown)
    }

    /// What the switcher stores: what a later stage chose for the cell, else the settled value.
    pub fn stored(&self, scene: u32, cell: u16) -> Value {
        self.chosen.get(&(scene, cell)).copied().unwrap_or_else(|| self.value(scene, cell))
    }

    /// True when every cell stores what settling put there.
    pub fn as_settled(&self) -> bool {
        self.chosen.is_empty()
    }

    /// Chooses what a cell stores; what is settled stays known beside it.
    pub fn choose(&mut self, scene: u32, cell: u16, value: Value) {
        self.chosen.insert((scene, cell), value);
    }

    /// True when the cell's value does not matter in this row.
    pub fn is_free(&self, scene: u32, cell: u16) -> bool {
        let word = self.free_row(scene).get(cell as usize / 64);
        word.is_some_and(|w| w & (1 << (cell % 64)) != 0)
    }

    /// True when whatever is stored in a cell does for this row: it is free, and no pulse, which moves its device on where
    /// nobody hears it too.
    pub fn idle(&self, scene: u32, cell: u16) -> bool {
        self.is_free(scene, cell) && !self.cells.list.get(cell as usize).is_some_and(Cell::pulses)
    }

    /// The cells of a row that are idle, a bit each.
    pub fn idle_row(&self, scene: u32) -> impl Iterator<Item = u64> + '_ {
        let pulses = self.cells.pulses.iter().copied().chain(std::iter::repeat(0));
        self.free_row(scene).iter().zip(pulses).map(|(free, pulses)| free & !pulses)
    }

    /// The free cells of a row, a bit each.
    fn free_row(&self, scene: u32) -> &[u64] {
        let words = words(self.cells.len());
        let from = self.at.get(scene as usize).map_or(usize::MAX, |row| *row as usize * words);
        self.free.get(from..from.saturating_add(words)).unwrap_or(&[])
    }
}

/// Words of 64 bits that hold a bit for each cell of a row.
fn words(cells: usize) -> usize {
    cells.div_ceil(64)
}

/// What settling gives.
pub struct Settled {
    /// What each scene stores.
    pub table: Table,
    /// What is wrong.
    pub faults: Vec<Fault>,
    /// What is no mistake: statements without effect, layers that come back. None when it was not looked for.
    pub hints: Option<Vec<Fault>>,
}

/// Settles every scene of a book. Hints cost little on the way; who does not look for them now can ask `hints` later.
pub fn settle(book: &Book, look: bool) -> Settled {
    let mut table = Table { cells: Cells::of(&book.board), ..Table::default() };
    let (width, scenes) = (table.cells.len(), book.show.scenes.len());
    table.values = vec![Value::Unknown; width * scenes];
    table.free = vec![0; words(width) * scenes];
    table.at = vec![0; scenes];
    let mut faults = rows::lay(book, &mut table, look);
    odds::tell(book, &table.cells, &mut faults);
    let hints = look.then(|| faults.extract_if(.., |fault| fault.hints()).collect());
    Settled { table, faults, hints }
}

/// What settling finds that is no mistake.
pub fn hints(book: &Book) -> Vec<Fault> {
    settle(book, true).hints.unwrap_or_default()
}
