//! Book to table: what each scene stores in each cell, and which cells are free.

pub mod bytes;
pub mod cell;
pub mod cells;
pub mod fault;
pub mod inside;
mod judge;
mod odds;
mod ranks;
pub mod row;
mod rows;
pub mod value;
pub mod why;

pub use cell::{Cell, CellKind};
pub use cells::{Cells, Through};
pub use fault::{Fault, Speaker};
pub use row::{Answer, Row, Setting};
pub use value::Value;

use rustc_hash::FxHashMap;

use crate::book::Book;
use crate::ids::{ColumnId, SceneId};

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
    /// The cells that some scene leaves as they are while they are heard, a bit each: what stood there before matters.
    left: Vec<u64>,
    /// The cells of each row that a later stage decided on, a bit each as in `free`; none before the first.
    decided: Vec<u64>,
    /// What it decided to store, by scene and cell.
    chosen: FxHashMap<(SceneId, ColumnId), Value>,
    /// Scenes with switches pressed: whose preset that is, and the cells that they move.
    follows: FxHashMap<SceneId, (SceneId, Vec<ColumnId>)>,
}

impl Table {
    /// The values of a scene's row, in column order.
    pub fn row(&self, scene: SceneId) -> &[Value] {
        let width = self.cells.len();
        let from = self.at.get(scene.index()).map_or(usize::MAX, |row| *row as usize * width);
        self.values.get(from..from.saturating_add(width)).unwrap_or(&[])
    }

    /// One value.
    pub fn value(&self, scene: SceneId, cell: ColumnId) -> Value {
        self.row(scene).get(cell.index()).copied().unwrap_or(Value::Unknown)
    }

    /// A table of rows that nobody settled, of which nothing is free: a unit's memory, as far as it is known.
    pub fn told(cells: Cells, rows: &[Vec<Value>]) -> Table {
        let (width, count) = (cells.len(), rows.len());
        let mut table = Table { cells, ..Table::default() };
        table.at = (0..count as u32).collect();
        table.values = rows.iter().flat_map(|row| row.iter().copied()).collect();
        table.free = vec![0; words(width) * count];
        table.left = vec![0; words(width)];
        table
    }

    /// What the switcher stores, the one truth of its memory: what a later stage chose for the cell; where whatever is
    /// stored does, what an empty preset has, for nobody types that in; else the settled value.
    pub fn stored(&self, scene: SceneId, cell: ColumnId) -> Value {
        let scene = self.stored_by(scene, cell);
        // Asked of every cell of every change of a set: the row is looked up once.
        let (width, number) = (self.cells.len(), cell.index());
        let Some(row) = self.at.get(scene.index()).map(|row| *row as usize).filter(|_| number < width) else {
            return Value::Unknown;
        };
        let (word, bit) = (number / 64, 1u64 << (number % 64));
        let has = |list: &[u64], at: usize| list.get(at).is_some_and(|word| word & bit != 0);
        let at = row * words(width) + word;
        if has(&self.decided, at)
            && let Some(chosen) = self.chosen.get(&(scene, cell))
        {
            return *chosen;
        }
        let settled = self.values.get(row * width + number).copied().unwrap_or(Value::Unknown);
        let idle = || has(&self.free, at) && !has(&self.cells.pulses, word) && !has(&self.left, word);
        if settled == Value::Unknown || !idle() { settled } else { self.empty(cell).unwrap_or(settled) }
    }

    /// The scene whose preset decides what a cell holds: its own, unless it is one with switches pressed that move other
    /// cells.
    fn stored_by(&self, scene: SceneId, cell: ColumnId) -> SceneId {
        if self.follows.is_empty() {
            return scene;
        }
        match self.follows.get(&scene) {
            Some((base, moved)) if !moved.contains(&cell) => *base,
            _ => scene,
        }
    }

    /// A scene with switches pressed follows another in all cells but those that they move.
    fn follow(&mut self, scene: SceneId, base: SceneId, moved: Vec<ColumnId>) {
        self.follows.insert(scene, (base, moved));
    }

    /// A row holds this in a cell.
    fn set_value(&mut self, scene: SceneId, cell: ColumnId, value: Value) {
        let width = self.cells.len();
        let from = self.at.get(scene.index()).map_or(usize::MAX, |row| *row as usize * width);
        if let Some(slot) = self.values.get_mut(from.saturating_add(cell.index())) {
            *slot = value;
        }
    }

    /// The free cells of a row, a bit each, are these.
    fn set_free(&mut self, scene: SceneId, free: &[u64]) {
        let words = words(self.cells.len());
        let from = self.at.get(scene.index()).map_or(usize::MAX, |row| *row as usize * words);
        if let Some(row) = self.free.get_mut(from..from.saturating_add(words)) {
            row.copy_from_slice(free);
        }
    }

    /// How the thing behind a cell stands, which is what a rule looks at: where nobody hears it, as the cell stores it; else as
    /// settled, for a pulse that is stored does not say how its device stands then.
    pub fn stands(&self, scene: SceneId, cell: ColumnId) -> Value {
        if self.idle(scene, cell) { self.stored(scene, cell) } else { self.value(scene, cell) }
    }

    /// What an empty preset has in a cell; None where nobody knows.
    pub fn empty(&self, cell: ColumnId) -> Option<Value> {
        self.cells.list.get(cell).and_then(Cell::empty)
    }

    /// True when no later stage chose anything.
    pub fn as_settled(&self) -> bool {
        self.chosen.is_empty()
    }

    /// Chooses what a cell stores; what is settled stays known beside it.
    pub fn choose(&mut self, scene: SceneId, cell: ColumnId, value: Value) {
        self.chosen.insert((scene, cell), value);
        self.decided.resize(self.free.len(), 0);
        let from = self.at.get(scene.index()).map_or(usize::MAX, |row| *row as usize * words(self.cells.len()));
        if let Some(word) = self.decided.get_mut(from.saturating_add(cell.index() / 64)) {
            *word |= 1 << (cell.index() % 64);
        }
    }

    /// Puts a value in a cell that follows from others of its row: it matters, and nobody is free to choose it.
    pub fn put(&mut self, scene: SceneId, cell: ColumnId, value: Value) {
        let (width, words) = (self.cells.len(), words(self.cells.len()));
        let Some(row) = self.at.get(scene.index()).map(|row| *row as usize) else { return };
        if let Some(slot) = self.values.get_mut(row * width..).and_then(|rest| rest.get_mut(cell.index())) {
            *slot = value;
        }
        if let Some(word) = self.free.get_mut(row * words + cell.index() / 64) {
            *word &= !(1 << (cell.index() % 64));
        }
    }

    /// True when the cell's value does not matter in this row.
    pub fn is_free(&self, scene: SceneId, cell: ColumnId) -> bool {
        holds(self.free_row(scene), cell)
    }

    /// True when whatever is stored in a cell does for this row: it is free; no pulse, which moves its device on where
    /// nobody hears it too; and no scene that hears it leaves it as it finds it.
    pub fn idle(&self, scene: SceneId, cell: ColumnId) -> bool {
        holds(self.free_row(scene), cell) && !holds(&self.cells.pulses, cell) && !holds(&self.left, cell)
    }

    /// The cells of a row that are idle, a bit each.
    pub fn idle_row(&self, scene: SceneId) -> impl Iterator<Item = u64> + '_ {
        let pulses = self.cells.pulses.iter().chain(std::iter::repeat(&0));
        let matters = pulses.zip(self.left.iter().chain(std::iter::repeat(&0)));
        self.free_row(scene).iter().zip(matters).map(|(free, (pulses, left))| free & !pulses & !left)
    }

    /// Finds what some scene leaves as it is while it is heard.
    fn leave(&mut self) {
        let stored = |cell: &Cell| !matches!(cell.kind, CellKind::ByFoot { .. });
        let mut left = vec![0; words(self.cells.len())];
        for scene in (0..self.at.len()).map(SceneId::nth) {
            for (cell, value) in self.cells.list.ids().zip(self.row(scene)) {
                let stays = *value == Value::Stays && self.cells.list.get(cell).is_some_and(stored);
                if stays
                    && !self.is_free(scene, cell)
                    && let Some(word) = left.get_mut(cell.index() / 64)
                {
                    *word |= 1u64 << (cell.index() % 64);
                }
            }
        }
        self.left = left;
    }

    /// The free cells of a row, a bit each.
    fn free_row(&self, scene: SceneId) -> &[u64] {
        self.words(scene, &self.free)
    }

    /// The bits of a row in a list of them.
    fn words<'w>(&self, scene: SceneId, list: &'w [u64]) -> &'w [u64] {
        let words = words(self.cells.len());
        let from = self.at.get(scene.index()).map_or(usize::MAX, |row| *row as usize * words);
        list.get(from..from.saturating_add(words)).unwrap_or(&[])
    }
}

/// Words of 64 bits that hold a bit for each cell of a row.
fn words(cells: usize) -> usize {
    cells.div_ceil(64)
}

/// True where the bit of a cell is set.
fn holds(words: &[u64], cell: ColumnId) -> bool {
    words.get(cell.index() / 64).is_some_and(|word| word & (1 << (cell.index() % 64)) != 0)
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
    table.leave();
    odds::tell(book, &table.cells, &mut faults);
    let hints = look.then(|| faults.extract_if(.., |fault| fault.hints()).collect());
    Settled { table, faults, hints }
}

/// What settling finds that is no mistake.
pub fn hints(book: &Book) -> Vec<Fault> {
    settle(book, true).hints.unwrap_or_default()
}
