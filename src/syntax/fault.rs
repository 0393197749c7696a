//! What reading can find wrong, as data; the wording lives with the rules.

use crate::source::Span;

/// A sign that a phone or a word processor put in place of a plain one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Pasted {
    /// Curly quotes.
    Quote,
    /// A long dash or a minus sign for a hyphen.
    Dash,
    /// An arrow sign for `->`.
    Arrow,
}

/// What a line's end stands in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Within {
    /// Statements.
    Statements,
    /// A comment, which it ends.
    Comment,
    /// A text in quotes, which goes on.
    Text,
}

/// One mistake of reading.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// A token that no statement takes here.
    Unexpected {
        /// The token, or the last one of the line when the line ends too early.
        at: Span,
        /// What would have been accepted, in the order of the grammar.
        expected: Vec<&'static str>,
        /// The line ended before the statement did.
        early: bool,
    },
    /// Brackets and `not`s deeper inside each other than is read.
    TooDeep {
        /// The first token that is too deep.
        at: Span,
    },
    /// A `{` without its `}`.
    UnclosedBrace {
        /// The brace.
        at: Span,
    },
    /// A `}` without its `{`.
    StrayBrace {
        /// The brace.
        at: Span,
    },
    /// A text whose quote is not closed on its line.
    UnclosedText {
        /// From the quote to the end of the line.
        at: Span,
    },
    /// `20,5`.
    DecimalComma {
        /// The number.
        at: Span,
    },
    /// A sign that only looks like the one meant.
    Pasted {
        /// The sign.
        at: Span,
        /// Which.
        what: Pasted,
        /// The closing quote of the same text, when it is curly too.
        closing: Option<Span>,
    },
    /// `F#`: the rest of the line was read as a comment.
    HashGlued {
        /// The word with its sign.
        at: Span,
    },
    /// A character that cannot be seen.
    Hidden {
        /// The word, text or comment that holds it, else the character.
        at: Span,
    },
    /// A line's end that only some editors show.
    OddEnd {
        /// The sign.
        at: Span,
        /// Where it stands.
        within: Within,
    },
    /// A number where a quantity is wanted.
    UnitMissing {
        /// The number, with letters glued to it that are no unit.
        at: Span,
    },
    /// A number with more digits than are kept.
    NumberTooLong {
        /// Number and unit.
        at: Span,
    },
    /// `mohm`.
    UnitCase {
        /// Number and unit.
        at: Span,
        /// The unit meant.
        meant: &'static str,
    },
    /// Bytes that are not UTF-8.
    NotUtf8 {
        /// The first bad byte.
        at: Span,
    },
}
