//! What keeps a table from becoming a book, as data; `told` has the words.

use super::plain::Lacks;

/// A cell of the table: row and column, as a spreadsheet counts rows, and the columns from 0.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    pub row: usize,
    pub column: usize,
}

/// Something that is not understood.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// Nothing stands in the table.
    Empty,
    /// A line of the map that is none.
    MapLine { line: String },
    /// The map names a head that the table has not.
    MapHead { head: String, near: Option<String> },
    /// A word of the map that means nothing on this board.
    MapWord { head: String, word: String, near: Option<String> },
    /// Heads whose meaning nobody said, each with what it might mean.
    Heads { guesses: Vec<(usize, String, Option<String>)> },
    /// Two columns for one thing.
    Twice { first: usize, second: usize, word: String },
    /// A column of this kind is missing: `scene`; or one half of bank and switch.
    NoColumn { word: &'static str },
    /// Cells below no head.
    NoHead { column: usize, row: usize },
    /// Without a board something is missing.
    Board(Lacks),
    /// The board's file describes no switcher.
    NoSwitcher,
    /// The table has slots, and the board says none.
    NoSlots { column: usize },
    /// A cell that is not understood, and what could stand there.
    Cell { at: Place, head: String, text: String, could: String },
    /// Nothing stands where other rows of the column say no.
    Blank { at: Place, head: String },
    /// A device sounds, and how it is set is not said.
    Unsaid { row: usize, column: Option<usize>, device: String, control: String },
    /// Two columns of one row do not agree.
    Against { row: usize, columns: (usize, usize), what: String },
    /// A row with something in it and no name.
    NoName { at: Place },
    /// A slot that the board has not.
    Slot { at: Place, text: String, range: String },
    /// A second row, where the board has slots of one.
    OneRow { at: Place, text: String },
    /// A second row of which no book can say whose it is; why.
    Second { row: usize, slot: String, scene: String, says: String },
    /// What a switch inside the preset is said to do, and what is wrong with it.
    Switch { at: Place, head: String, says: String },
    /// A switch that does not work inside presets on this board; those that do.
    NotInside { column: usize, head: String, has: Vec<String> },
    /// Two rows for one slot.
    SlotTwice { slot: String, first: usize, second: usize },
    /// Two rows of one scene that differ.
    Differ { scene: String, first: usize, second: usize, column: usize, head: String, texts: (String, String) },
    /// What no statement can say.
    Unsayable { row: usize, scene: String, says: String },
    /// What is wrong with the book that would be written, where it does not store what the table says.
    Mistake { says: String },
    /// What was written does not store what the table says: a mistake of this tool, or of slots that the board fills.
    Otherwise { slot: String, scene: String, column: String, wanted: String, found: String },
    /// The same of a slot: the scene that the table has there, and what would be stored.
    OtherScene { slot: String, wanted: Option<String>, found: Option<String> },
}

impl Fault {
    /// Where it stands in the table, for the order in which faults are told.
    pub(super) fn place(&self) -> (usize, usize) {
        match self {
            Fault::Cell { at, .. } | Fault::Blank { at, .. } | Fault::NoName { at } | Fault::Slot { at, .. } => {
                (at.row, at.column)
            }
            Fault::OneRow { at, .. } | Fault::Switch { at, .. } => (at.row, at.column),
            Fault::Unsaid { row, column, .. } => (*row, column.unwrap_or_default()),
            Fault::Against { row, columns: (_, column), .. } | Fault::NoHead { row, column } => (*row, *column),
            Fault::SlotTwice { second: row, .. } | Fault::Unsayable { row, .. } | Fault::Second { row, .. } => {
                (*row, 0)
            }
            Fault::Differ { second: row, column, .. } => (*row, *column),
            _ => (0, 0),
        }
    }

    /// True where the rest of the table can be taken over without it.
    pub fn partial(&self) -> bool {
        matches!(
            self,
            Fault::Cell { .. }
                | Fault::Blank { .. }
                | Fault::Unsaid { .. }
                | Fault::Against { .. }
                | Fault::NoName { .. }
                | Fault::NoHead { .. }
                | Fault::Slot { .. }
                | Fault::OneRow { .. }
                | Fault::Second { .. }
                | Fault::Switch { .. }
                | Fault::SlotTwice { .. }
                | Fault::Unsayable { .. }
        )
    }
}
