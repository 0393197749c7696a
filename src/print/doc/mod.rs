//! What a report says, in reading order, without places: one model, and a writer each for plain text, Markdown and
//! HTML; `print::page` lays the same on paper.

pub mod html;
pub mod markdown;
mod svg;
pub mod text;

use super::page::placed::Ink;
use crate::Compiled;
use crate::syntax::fingerprint::fingerprint;

/// A document.
#[derive(Clone, Debug, Default)]
pub struct Doc {
    /// Its title: the first heading, but of plain text.
    pub title: String,
    /// How plain text begins, whole lines; empty where whoever asked for it knows what it is.
    pub opening: String,
    /// Plain text goes no further than 80 columns, and its headings are underlined.
    pub narrow: bool,
    /// What stands at the top of every page, instead of the title.
    pub top: Vec<Chip>,
    /// The line at the foot of every page that matters most; empty for none.
    pub foot: String,
    /// The small print at the foot of every page: board, version, fingerprint.
    pub small: String,
    /// The book has errors: every page says so.
    pub draft: bool,
    /// It is meant for one page: what is said of it when it takes more, and why.
    pub one_page: Option<(String, String)>,
    /// Sizes.
    pub sizes: Sizes,
    /// It lies on the floor: songs are set off as a whole, and say their titles again on the next page.
    pub floor: bool,
    /// What is left of a page is ruled for a pen.
    pub lines: bool,
    /// On paper it is a sheet of so many sides.
    pub sides: Option<Sides>,
    /// The blocks.
    pub blocks: Vec<Block>,
}

/// A sheet of so many sides, each in letters as large as fit.
#[derive(Clone, Debug)]
pub struct Sides {
    /// How many.
    pub count: usize,
    /// What it is called at the top of every side, and what to press in trouble.
    pub name: String,
    pub safe: Option<String>,
    /// The side that is read standing; empty where all of them are read close.
    pub front: Vec<Row>,
    /// Where among the blocks the sides begin that are read close.
    pub from: usize,
    /// The distance that was asked for, in metres, and the least angle, in minutes of arc.
    pub asked: Option<f32>,
    pub minutes: f32,
}

/// A line of the side that is read standing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Row {
    Song {
        number: usize,
        title: String,
        /// Beats a minute; empty where nobody said.
        tempo: String,
        /// The bank of its first part; empty where it has none.
        bank: String,
        /// The guitar and the tuning that the song before did not have.
        change: String,
    },
    Pause,
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
    /// A heading of level 2 or 3, with what stands inverted before it (a bank); a bookmark.
    Heading { level: u8, mark: String, text: String },
    /// A paragraph of words in different looks.
    Para(Words),
    /// Lines that belong together.
    List(List),
    /// Lines in which every blank counts, and the same in a terminal's colours.
    Code { lines: String, coloured: String },
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
    /// What plain text says in lines of its own, and how it stands elsewhere.
    Told(String, Vec<Block>),
    /// A new page.
    Break,
}

/// Words in different looks. Blanks in a row align plain text; they are one blank elsewhere.
pub type Words = Vec<(String, Look)>;

/// How words look.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Look {
    #[default]
    Plain,
    Strong,
    /// Printed light: it does not matter.
    Light,
    /// A name of the book.
    Name,
}

/// Lines, each set in as far as it goes.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct List {
    /// In plain text: how far the outermost lines are set in, and each further depth, in columns.
    pub columns: (usize, usize),
    /// The lines.
    pub items: Vec<Item>,
}

/// A line of a list.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Item {
    /// How far it is set in, from 0.
    pub depth: usize,
    pub mark: Mark,
    pub words: Words,
}

/// What stands before a line.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Mark {
    #[default]
    None,
    /// A box to tick.
    Tick,
    /// It came, it went, it is another.
    Came,
    Went,
    Turned,
}

impl Mark {
    /// Its sign where letters are all there is.
    pub(crate) fn sign(self) -> &'static str {
        match self {
            Mark::None => "",
            Mark::Tick => "[ ]",
            Mark::Came => "+",
            Mark::Went => "-",
            Mark::Turned => "~",
        }
    }
}

/// Something short: a switch and its part.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Chip {
    /// What stands boxed before it: a switch.
    pub key: String,
    /// What stands in thin letters before its words, in no box: nobody presses that.
    pub aside: String,
    /// Its words.
    pub text: String,
    /// A foot holds something: the fixed sign.
    pub held: bool,
    /// Small print: nothing to be read from afar.
    pub small: bool,
}

impl Chip {
    /// What stands in thin letters, set off: `(1 called) `.
    pub(crate) fn beside(&self) -> String {
        if self.aside.is_empty() { String::new() } else { format!("({}) ", self.aside) }
    }
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
    /// Columns of signs: plain text puts one blank between them, and goes on below at each of these columns.
    pub signs: Option<Vec<usize>>,
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

impl Table {
    /// A table under its heads.
    pub fn new(caption: &str, heads: &[&str], keys: usize, wraps: &[usize], rows: Vec<Vec<Cell>>) -> Table {
        let heads = heads.iter().map(|h| (*h).to_owned()).collect();
        Table { caption: caption.to_owned(), heads, keys, wraps: wraps.to_vec(), rows, ..Table::default() }
    }

    /// A column that is read from the left.
    pub(crate) fn left(&self, column: usize) -> bool {
        column < self.keys || self.wraps.contains(&column)
    }
}

impl Cell {
    /// Plain cells.
    pub fn row(fields: impl IntoIterator<Item = String>) -> Vec<Cell> {
        fields.into_iter().map(|text| Cell::new(text, Look::Plain)).collect()
    }

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
    /// A line through points.
    Curve { points: Vec<(f32, f32)>, ink: Ink, width: f32 },
}

impl Doc {
    /// A report on a book.
    pub fn report(compiled: &Compiled, what: &str, blocks: Vec<Block>) -> Doc {
        const UNNAMED: &str = "a board without a name";
        let draft = compiled.errors() > 0;
        let title = format!("{}: {what}", board(compiled).unwrap_or(UNNAMED));
        let opening = if draft { format!("{DRAFT}\n\n") } else { String::new() };
        let small = small(compiled, UNNAMED, None).join(" · ");
        Doc { title, opening, small, draft, blocks, ..Doc::default() }
    }
}

/// The board's title.
pub fn board(compiled: &Compiled) -> Option<&str> {
    compiled.book.board.title.as_ref().map(|b| b.value.as_str()).filter(|b| !b.is_empty())
}

/// Which book it is: board, version, what the sources come to, a date.
pub fn small(compiled: &Compiled, unnamed: &str, date: Option<&str>) -> Vec<String> {
    let version = compiled.book.board.version.as_ref().filter(|v| !v.value.is_empty());
    let says = [
        Some(board(compiled).unwrap_or(unnamed).to_owned()),
        version.map(|v| format!("version {}", v.value)),
        crate::print::night::of(compiled),
        Some(format!("source {}", fingerprint(&compiled.files, &compiled.trees))),
        date.map(str::to_owned),
    ];
    says.into_iter().flatten().collect()
}

/// How plain text begins when the book has errors.
pub const DRAFT: &str = "DRAFT: the book has errors, `?` stands for what is not known";

/// A heading without a mark.
pub fn head(level: u8, text: &str) -> Block {
    Block::Heading { level, mark: String::new(), text: text.to_owned() }
}

/// A paragraph in one look.
pub fn para(text: impl Into<String>) -> Block {
    Block::Para(vec![(text.into(), Look::Plain)])
}

/// Words in which names stand in backticks.
pub fn named(text: &str) -> Words {
    let pieces = text.split('`').enumerate().filter(|(_, piece)| !piece.is_empty());
    pieces.map(|(at, piece)| (piece.to_owned(), if at % 2 == 1 { Look::Name } else { Look::Plain })).collect()
}

/// One blank for blanks in a row, at the ends too.
pub(crate) fn squeezed(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        let c = if c == '\n' { ' ' } else { c };
        if c != ' ' || !out.ends_with(' ') {
            out.push(c);
        }
    }
    out
}
