//! Text to a tree that loses nothing, and back.

pub mod cursor;
pub mod cut;
pub mod decimal;
pub mod edit;
pub mod fault;
pub mod fingerprint;
pub mod format;
pub mod grammar;
pub mod hidden;
pub mod kind;
pub mod lexer;
pub mod one_line;
pub mod put;
mod recover;
pub mod registry;
pub mod tree;
pub mod units;

use std::sync::{Mutex, PoisonError};

pub use recover::END;

use cursor::{Cursor, Sink};
use fault::Fault;
use lexer::{Lexer, Tok};
use tree::{Node, Tree};

use crate::source::Span;

/// A text of fewer bytes is not worth a second thread.
const WORTH_TWO: usize = 1 << 19;

/// Reads one file. Total: every text gives a tree, and a fault for each mistake.
///
/// A top-level word in column one always begins a statement, so a large text is read in two halves, at once where a
/// thread is free for it.
pub fn parse(file: u32, text: &str) -> (Tree, Vec<Fault>) {
    let lexer = |text| Lexer::new(file, text, registry::begins);
    let middle = if text.len() < WORTH_TWO { None } else { lexer(text).statement_line(text.len() / 2) };
    let all = Mutex::new(Reading::with_room(text));
    let read_on = |lexer| all.lock().unwrap_or_else(PoisonError::into_inner).read(file, text, lexer);
    let apart = match middle.and_then(|m| Some((m, text.get(..m)?, text.get(m..)?))) {
        None => {
            read_on(lexer(text));
            None
        }
        Some((middle, head, tail)) => {
            let second = |context: rayon::FnContext| {
                let from = lexer(text).from_line(middle);
                if !context.migrated() {
                    read_on(from);
                    return None;
                }
                let mut apart = Reading::with_room(tail);
                apart.read(file, text, from);
                Some(apart)
            };
            rayon::join_context(|_| read_on(lexer(head)), second).1
        }
    };
    let Reading { mut nodes, mut faults } = all.into_inner().unwrap_or_else(PoisonError::into_inner);
    if let Some(mut apart) = apart {
        let shift = nodes.len() as u32;
        apart.nodes.iter_mut().for_each(|node| node.next += shift);
        nodes.append(&mut apart.nodes);
        faults.append(&mut apart.faults);
    }
    nodes.shrink_to_fit();
    faults.sort_by_key(|f| f.at().start);
    // A text that ran to the end of its line hides what stood there: no second mistake of the same line.
    let unclosed: Vec<Span> =
        faults.iter().filter(|f| matches!(f, Fault::UnclosedText { .. })).map(|f| f.at()).collect();
    if !unclosed.is_empty() {
        // They stand in the order of the text, and none overlaps another.
        let next = |at: Span| unclosed.partition_point(|u| u.end < at.start);
        let hidden = |at: Span| unclosed.get(next(at)).is_some_and(|u| u.start <= at.end);
        faults.retain(|f| !matches!(f, Fault::Unexpected { at, .. } if hidden(*at)));
    }
    (Tree { file, nodes }, faults)
}

/// What was read so far.
struct Reading {
    nodes: Vec<Node>,
    faults: Vec<Fault>,
}

impl Reading {
    /// With room for the nodes of a text: one for every six bytes, as measured on a large book.
    fn with_room(text: &str) -> Reading {
        Reading { nodes: Vec::with_capacity(text.len() / 6 + 16), faults: Vec::new() }
    }

    /// Reads all statements that a lexer gives.
    fn read(&mut self, file: u32, text: &str, mut lexer: Lexer<'_>) {
        let mut tokens = Vec::new();
        loop {
            tokens.clear();
            if !lexer.statement(&mut tokens, &mut self.faults) {
                break;
            }
            let (nodes, faults) = (std::mem::take(&mut self.nodes), std::mem::take(&mut self.faults));
            let sink = Sink::new(file, text, nodes, faults);
            top(Cursor { tokens: &tokens, sink: &sink });
            self.nodes = sink.nodes.into_inner();
            self.faults = sink.faults.into_inner();
        }
    }
}

/// The statements of one stretch of tokens; a `}` that nothing opened is told and passed over.
fn top(mut i: Cursor<'_>) {
    while let Some(token) = i.first() {
        match token.kind {
            Tok::End => i = i.skip(1),
            Tok::Close => {
                i.sink.faults.borrow_mut().push(Fault::StrayBrace { at: i.span(token.start, token.end) });
                i = i.skip(1);
            }
            _ => i = recover::statement(i, registry::statement),
        }
    }
}

impl Fault {
    /// Where the mistake is.
    pub fn at(&self) -> Span {
        match self {
            Fault::Unexpected { at, .. }
            | Fault::TooDeep { at }
            | Fault::UnclosedBrace { at }
            | Fault::StrayBrace { at }
            | Fault::UnclosedText { at }
            | Fault::DecimalComma { at }
            | Fault::Pasted { at, .. }
            | Fault::HashGlued { at }
            | Fault::Hidden { at }
            | Fault::OddEnd { at, .. }
            | Fault::UnitMissing { at }
            | Fault::NumberTooLong { at }
            | Fault::UnitCase { at, .. }
            | Fault::NotUtf8 { at } => *at,
        }
    }
}
