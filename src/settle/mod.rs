//! Book to table: what each scene stores in each cell, and which cells are free.

pub mod cells;
pub mod fault;
mod judge;
mod ranks;
mod rows;
pub mod value;
pub mod why;

pub use cells::{Cell, CellKind, Cells};
pub use fault::{Fault, Speaker};
pub use value::Value;

use fixedbitset::FixedBitSet;

use crate::book::Book;

/// One row a scene, one column a cell.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// The columns.
    pub cells: Cells,
    values: Vec<Value>,
    free: FixedBitSet,
}

impl Table {
    /// The values of a scene's row, in column order.
    pub fn row(&self, scene: u32) -> &[Value] {
        let width = self.cells.len();
        let from = scene as usize * width;
        self.values.get(from..from + width).unwrap_or(&[])
    }

    /// One value.
    pub fn value(&self, scene: u32, cell: u16) -> Value {
        self.row(scene).get(cell as usize).copied().unwrap_or(Value::Unknown)
    }

    /// True when the cell's value does not matter in this row.
    pub fn is_free(&self, scene: u32, cell: u16) -> bool {
        self.free.contains(scene as usize * self.cells.len() + cell as usize)
    }
}

/// Settles every scene of a book.
pub fn settle(book: &Book) -> (Table, Vec<Fault>) {
    let mut table = Table { cells: Cells::of(book), values: Vec::new(), free: FixedBitSet::new() };
    let size = table.cells.len() * book.scenes.len();
    table.values = vec![Value::Unknown; size];
    table.free.grow(size);
    let faults = rows::lay(book, &mut table);
    (table, faults)
}
