//! A comparison as a page that every format lays out its own way.

/// For whom.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reader {
    /// The musician: what is heard.
    Player,
    /// The technician: what is done.
    Tech,
    /// Both: all of it.
    Both,
}

/// What became of a thing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Tone {
    Plain,
    Came,
    Went,
    Turned,
}

/// One line; names of the book stand in backticks.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// How far it is set in, from 0.
    pub depth: usize,
    /// It has a box to tick.
    pub ticked: bool,
    pub tone: Tone,
    pub text: String,
}

impl Line {
    /// A line.
    pub fn new(depth: usize, tone: Tone, text: impl Into<String>) -> Line {
        Line { depth, ticked: false, tone, text: text.into() }
    }

    /// A line with a box.
    pub fn ticked(depth: usize, text: impl Into<String>) -> Line {
        Line { depth, ticked: true, tone: Tone::Plain, text: text.into() }
    }
}

/// Lines under a heading.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Section {
    /// The heading.
    pub title: String,
    /// A sentence below it; may be empty.
    pub lead: String,
    /// The lines; none leaves the section out.
    pub lines: Vec<Line>,
}

/// The whole page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    /// Both books in a line.
    pub title: String,
    /// What matters before all else, and how things were matched.
    pub lead: Vec<String>,
    /// The sections, in order.
    pub sections: Vec<Section>,
}
