//! What is on a page, in reading order, without places.

use super::placed::Ink;

/// A document.
#[derive(Clone, Debug, Default)]
pub struct Doc {
    /// Its title.
    pub title: String,
    /// What stands at the top of every page.
    pub top: Vec<Chip>,
    /// The line at the foot of every page that matters most; empty for none.
    pub foot: String,
    /// The small print at the foot of every page: board, version, fingerprint.
    pub small: String,
    /// The book has errors: every page says so.
    pub draft: bool,
    /// Sizes.
    pub sizes: Sizes,
    /// What is left of a page is ruled for a pen.
    pub pen: bool,
    /// The blocks.
    pub blocks: Vec<Block>,
}

/// Sizes of letters, in points.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Sizes {
    /// Text.
    pub text: f32,
    /// Headings of the first, second and third level.
    pub heads: [f32; 3],
    /// Tables.
    pub table: f32,
    /// Small print at the foot.
    pub small: f32,
}

impl Default for Sizes {
    fn default() -> Sizes {
        Sizes { text: 10.0, heads: [20.0, 14.0, 11.5], table: 8.5, small: 7.5 }
    }
}

/// A block.
#[derive(Clone, Debug)]
pub enum Block {
    /// A heading of level 1 to 3, with what stands inverted before it (a bank); a bookmark.
    Heading { level: u8, mark: String, text: String },
    /// A paragraph of words in different looks.
    Para(Vec<(String, Look)>),
    /// A boxed line over the full width, one act a line.
    Notice(Vec<String>),
    /// Short things side by side, in order.
    Chips(Vec<Chip>),
    /// A table.
    Table(Table),
    /// A drawing.
    Figure(Figure),
    /// So many ruled lines for a pen.
    Pen(usize),
    /// Blocks that stay on one page if one page holds them.
    Together(Vec<Block>),
    /// A new page.
    Break,
}

/// How words look.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Look {
    #[default]
    Plain,
    Strong,
    /// Printed light: it does not matter.
    Light,
}

/// Something short: a switch and its part.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Chip {
    /// What stands boxed before it: a switch.
    pub key: String,
    /// Its words.
    pub text: String,
    /// A foot holds something: the fixed sign.
    pub held: bool,
    /// Small print: nothing to be read from afar.
    pub small: bool,
}

/// A table; its head repeats on every page.
#[derive(Clone, Debug, Default)]
pub struct Table {
    /// What it shows.
    pub caption: String,
    /// Heads of the columns.
    pub heads: Vec<String>,
    /// How many columns at the left name the row; they repeat when a wide table goes on below.
    pub keys: usize,
    /// Columns whose words may wrap.
    pub wraps: Vec<usize>,
    /// The least widths of the columns, as shares of the page, so that like tables stand alike.
    pub shares: Vec<f32>,
    /// Rows.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell of a table.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Cell {
    /// Its words.
    pub text: String,
    /// How they look.
    pub look: Look,
    /// A box to tick instead of words.
    pub tick: bool,
}

impl Cell {
    /// A cell with words.
    pub fn new(text: impl Into<String>, look: Look) -> Cell {
        Cell { text: text.into(), look, tick: false }
    }

    /// A box to tick.
    pub fn tick() -> Cell {
        Cell { tick: true, ..Cell::default() }
    }
}

/// A drawing; lengths in points, from its top left corner.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// What it shows, for who cannot see it.
    pub alt: String,
    /// Width and height.
    pub size: (f32, f32),
    /// What is drawn, from back to front.
    pub shapes: Vec<Shape>,
}

/// A piece of a drawing.
#[derive(Clone, PartialEq, Debug)]
pub enum Shape {
    /// A rectangle: corner, width, height; filled or drawn with a line of 0.8 points.
    Rect { x: f32, y: f32, w: f32, h: f32, ink: Ink, filled: bool },
    /// A line of some width between two points.
    Line { from: (f32, f32), to: (f32, f32), ink: Ink, width: f32 },
    /// Words, centred on `x`, on the base line `y`.
    Words { x: f32, y: f32, size: f32, ink: Ink, strong: bool, text: String },
    /// Words that start at `x`.
    From { x: f32, y: f32, size: f32, ink: Ink, strong: bool, text: String },
}
