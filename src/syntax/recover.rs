//! Going on after a mistake: at the next statement, inside blocks too. One mistake, one fault.

use super::cursor::{Cursor, Res, deeper};
use super::fault::Fault;
use super::kind::Kind;
use super::lexer::{Tok, Token};
use super::registry;
use super::tree::Node;

/// A parser function of the grammar.
pub(super) type Production = for<'t> fn(Cursor<'t>) -> Res<'t>;

/// `{`, statements with their ends, `}`. After the `{` it always succeeds.
pub(super) fn block<'t>(i: Cursor<'t>, inner: Production) -> Res<'t> {
    let Some(brace) = i.first().filter(|t| t.kind == Tok::Open) else { return i.miss("{") };
    let mut i = i.skip(1);
    loop {
        while i.kind() == Some(Tok::End) {
            i = i.skip(1);
        }
        match i.kind() {
            Some(Tok::Close) => return Ok((i.skip(1), ())),
            None => {
                i.sink.faults.borrow_mut().push(Fault::UnclosedBrace { at: i.span(brace.start, brace.end) });
                return Ok((i, ()));
            }
            _ => i = statement(i, inner),
        }
    }
}

/// One statement and everything up to its end, read or not.
pub(super) fn statement<'t>(i: Cursor<'t>, inner: Production) -> Cursor<'t> {
    let sink = i.sink;
    let (nodes, faults) = (sink.nodes.borrow().len(), sink.faults.borrow().len());
    sink.too_deep.set(None);
    let rest = match inner(i) {
        Ok((rest, ())) if rest.at_end() => return rest,
        Ok((rest, ())) => Some(rest),
        Err(_) => None,
    };
    sink.nodes.borrow_mut().truncate(nodes);
    sink.faults.borrow_mut().truncate(faults);
    let (fault, at) = second_reading(i, inner);
    let fault = sink.too_deep.take().map_or(fault, |at| Fault::TooDeep { at });
    let from = rest.unwrap_or(i);
    let broken = sink.nodes.borrow().len();
    let start = from.first().map_or(0, |t| t.start);
    from.leaf(Kind::Broken, start, start);
    if rest.is_none() {
        salvage(i);
    }
    sink.faults.borrow_mut().push(fault);
    let end = skip(from, i.word(), i.tokens.len() - at);
    let used = i.tokens.len() - end.tokens.len();
    let close = i.tokens.get(..used).and_then(<[Token]>::last).map_or(start, |t| t.end);
    let mut list = sink.nodes.borrow_mut();
    let next = list.len() as u32;
    extend(&mut list, broken, next, close);
    if rest.is_some() {
        // What could be read keeps the rest as its last child, so that it is known to be faulty.
        extend(&mut list, nodes, next, close);
    }
    end
}

/// What may also come where a whole statement stands already.
pub const END: &str = "the end of the line";

fn extend(nodes: &mut [Node], at: usize, next: u32, end: u32) {
    if let Some(node) = nodes.get_mut(at) {
        (node.next, node.end) = (next, node.end.max(end));
    }
}

/// Reads a failed statement again, noting what would have been accepted; gives the fault and its token's place.
fn second_reading(i: Cursor<'_>, inner: Production) -> (Fault, usize) {
    let sink = i.sink;
    let outer = (sink.noting.replace(true), sink.furthest.replace(usize::MAX), sink.expected.take());
    if let Ok((rest, ())) = inner(i) {
        let _ = rest.miss(END);
    }
    let at = i.tokens.len().saturating_sub(sink.furthest.get());
    let fault = unexpected(i, at);
    sink.noting.set(outer.0);
    sink.furthest.set(outer.1);
    sink.expected.replace(outer.2);
    (fault, at)
}

fn unexpected(i: Cursor<'_>, at: usize) -> Fault {
    let expected = std::mem::take(&mut *i.sink.expected.borrow_mut());
    let token = i.tokens.get(at).filter(|t| !matches!(t.kind, Tok::End | Tok::Close));
    let last = at.checked_sub(1).and_then(|n| i.tokens.get(n));
    let early = token.is_none();
    let token = token.or(last).or(i.tokens.first());
    let at = token.map_or(i.span(0, 0), |t| i.span(t.start, t.end));
    Fault::Unexpected { at, expected, early }
}

/// Keeps the word that opens a broken statement and what it seems to name: whatever refers to it stays quiet.
fn salvage(i: Cursor<'_>) {
    if let Some(t) = i.first() {
        i.leaf(Kind::Word, t.start, t.end);
    }
    if let Some(t) = i.skip(1).first() {
        match t.kind {
            Tok::Word => i.leaf(Kind::Name, t.start, t.end),
            Tok::Text => i.leaf(Kind::Text, t.start, t.end),
            _ => {}
        }
    }
}

/// Skips to the end of the statement; a block behind the fault is still read for its own mistakes.
fn skip<'t>(mut i: Cursor<'t>, opener: &str, fault_left: usize) -> Cursor<'t> {
    let mut depth = 0usize;
    while let Some(token) = i.first() {
        match token.kind {
            Tok::End | Tok::Close if depth == 0 => return i,
            Tok::Open if depth == 0 && i.tokens.len() <= fault_left => {
                if let Some(inner) = registry::block_of(opener)
                    && let Ok((rest, ())) = deeper(|i| block(i, inner))(i)
                {
                    i = rest;
                    continue;
                }
                depth += 1;
            }
            Tok::Open => depth += 1,
            Tok::Close => depth -= 1,
            _ => {}
        }
        i = i.skip(1);
    }
    i
}
