//! A text as tokens and what lies between them.

use crate::syntax::lexer::{Lexer, Tok, Token};
use crate::syntax::registry;

/// The tokens of a text, without the ends of lines.
pub(super) struct Gaps {
    pub(super) tokens: Vec<Token>,
}

/// What a gap holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Part {
    /// A line break.
    Line,
    /// A `;`.
    Semicolon,
    /// A comment: bytes from its `#` to the end of its line, and whether it is glued to what comes before.
    Comment(u32, u32, bool),
}

pub(super) fn read(text: &str) -> Gaps {
    let mut lexer = Lexer::new(0, text, registry::begins);
    let (mut tokens, mut some, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    while lexer.statement(&mut some, &mut faults) {
        tokens.extend(some.iter().filter(|t| t.kind != Tok::End));
    }
    Gaps { tokens }
}

impl Gaps {
    /// The words, one after the other.
    pub(super) fn words<'t>(&self, text: &'t str) -> impl Iterator<Item = &'t str> {
        self.tokens.iter().map(move |t| text.get(t.start as usize..t.end as usize).unwrap_or(""))
    }

    /// The stretches before, between and behind the tokens: bytes and text.
    pub(super) fn between<'t>(&self, text: &'t str) -> impl Iterator<Item = (u32, u32, &'t str)> {
        let starts = std::iter::once(0).chain(self.tokens.iter().map(|t| t.end));
        let ends = self.tokens.iter().map(|t| t.start).chain([text.len() as u32]);
        starts.zip(ends).map(move |(a, b)| (a, b, text.get(a as usize..b as usize).unwrap_or("")))
    }

    /// The comments, each with the number of the gap it stands in.
    pub(super) fn comments<'t>(&self, text: &'t str) -> impl Iterator<Item = (usize, &'t str)> {
        self.between(text).enumerate().flat_map(move |(gap, (start, _, between))| {
            let parts = parts(start, between).into_iter();
            parts.filter_map(move |part| match part {
                Part::Comment(a, b, _) => Some((gap, text.get(a as usize..b as usize).unwrap_or("").trim_end())),
                _ => None,
            })
        })
    }
}

/// What a gap that starts at `start` holds.
pub(super) fn parts(start: u32, between: &str) -> Vec<Part> {
    let mut out = Vec::new();
    let mut letters = between.char_indices().peekable();
    while let Some((at, letter)) = letters.next() {
        match letter {
            '\n' => out.push(Part::Line),
            ';' => out.push(Part::Semicolon),
            '#' => {
                let rest = between.get(at..).unwrap_or("");
                let length = rest.find('\n').unwrap_or(rest.len());
                out.push(Part::Comment(start + at as u32, start + (at + length) as u32, at == 0 && start > 0));
                while letters.next_if(|(i, _)| *i < at + length).is_some() {}
            }
            _ => {}
        }
    }
    out
}
