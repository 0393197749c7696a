//! The pieces that a comparison is told in.

use crate::print::doc::{Block, Item, List, Mark, head, named};

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

    fn mark(&self) -> Mark {
        match self.tone {
            _ if self.ticked => Mark::Tick,
            Tone::Plain => Mark::None,
            Tone::Came => Mark::Came,
            Tone::Went => Mark::Went,
            Tone::Turned => Mark::Turned,
        }
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

/// A heading, a sentence, and lines with their signs; nothing where there is no line.
pub fn blocks(section: Section) -> Vec<Block> {
    if section.lines.is_empty() {
        return Vec::new();
    }
    let mut out = vec![head(2, &section.title)];
    if !section.lead.is_empty() {
        out.push(Block::Para(named(&section.lead)));
    }
    let item = |line: Line| Item { depth: line.depth, mark: line.mark(), words: named(&line.text) };
    let items = section.lines.into_iter().map(item).collect();
    out.push(Block::List(List { columns: (2, 2), items }));
    out
}
