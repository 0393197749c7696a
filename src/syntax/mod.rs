//! Text to a tree that loses nothing, and back.

pub mod cursor;
pub mod cut;
pub mod edit;
pub mod fault;
pub mod format;
pub mod grammar;
pub mod kind;
pub mod lexer;
mod recover;
pub mod registry;
pub mod tree;
pub mod units;

use std::cell::{Cell, RefCell};

use cursor::{Desk, In};
use fault::Fault;
use lexer::{Lexer, Tok};
use tree::Tree;

use crate::source::Span;

/// Reads one file. Total: every text gives a tree, and a fault for each mistake.
pub fn parse(file: u32, text: &str) -> (Tree, Vec<Fault>) {
    let mut lexer = Lexer::new(file, text, registry::opens_top);
    // A node for every dozen bytes, as measured on real books: one allocation, not a growing one.
    let mut nodes = Vec::with_capacity(text.len() / 11 + 16);
    let mut faults = Vec::new();
    let mut tokens = Vec::new();
    loop {
        tokens.clear();
        if !lexer.statement(&mut tokens, &mut faults) {
            break;
        }
        let desk = Desk {
            file,
            text,
            nodes: RefCell::new(std::mem::take(&mut nodes)),
            faults: RefCell::new(std::mem::take(&mut faults)),
            noting: Cell::new(false),
            furthest: Cell::new(usize::MAX),
            expected: RefCell::new(Vec::new()),
        };
        top(In { tokens: &tokens, desk: &desk });
        nodes = desk.nodes.into_inner();
        faults = desk.faults.into_inner();
    }
    faults.sort_by_key(|f| f.at().start);
    // A text that ran to the end of its line hides what stood there: no second mistake of the same line.
    let unclosed: Vec<Span> =
        faults.iter().filter(|f| matches!(f, Fault::UnclosedText { .. })).map(|f| f.at()).collect();
    if !unclosed.is_empty() {
        let hidden = |at: Span| unclosed.iter().any(|u| at.start <= u.end && u.start <= at.end);
        faults.retain(|f| !matches!(f, Fault::Unexpected { at, .. } if hidden(*at)));
    }
    (Tree { file, nodes }, faults)
}

/// The statements of one stretch of tokens; a `}` that nothing opened is told and passed over.
fn top(mut i: In<'_>) {
    while let Some(token) = i.first() {
        match token.kind {
            Tok::End => i = i.skip(1),
            Tok::Close => {
                i.desk.faults.borrow_mut().push(Fault::StrayBrace { at: i.span(token.start, token.end) });
                i = i.skip(1);
            }
            _ => i = recover::statement(i, grammar::statement),
        }
    }
}

impl Fault {
    /// Where the mistake is.
    pub fn at(&self) -> Span {
        match self {
            Fault::Unexpected { at, .. }
            | Fault::UnclosedBrace { at }
            | Fault::StrayBrace { at }
            | Fault::UnclosedText { at }
            | Fault::DecimalComma { at }
            | Fault::Pasted { at, .. }
            | Fault::HashGlued { at }
            | Fault::Hidden { at }
            | Fault::UnitMissing { at }
            | Fault::UnitCase { at, .. }
            | Fault::NotUtf8 { at } => *at,
        }
    }
}
