//! A place among the tokens of one statement, as nom's input, and the terminals of the grammar.

use std::cell::{Cell, RefCell};

use nom::error::{ErrorKind, ParseError};
use nom::{Err, IResult, Input, Needed, Parser};

use super::decimal;
use super::fault::Fault;
use super::kind::Kind;
use super::lexer::{Tok, Token};
use super::tree::Node;
use super::units;
use crate::source::Span;

/// Brackets, `not`s and blocks of a statement stand inside each other no deeper than this. Nobody reads more, and a
/// thread's stack holds many times as much.
pub const DEEPEST: usize = 50;

/// What parsing one statement writes to: nodes, mistakes, and what was looked for in vain.
pub struct Sink<'t> {
    pub file: u32,
    pub text: &'t str,
    pub nodes: RefCell<Vec<Node>>,
    pub faults: RefCell<Vec<Fault>>,
    /// Names are only noted while a failed statement is read a second time.
    pub noting: Cell<bool>,
    pub furthest: Cell<usize>,
    pub expected: RefCell<Vec<&'static str>>,
    /// How deep the reading stands, and where it would have gone deeper than [`DEEPEST`].
    pub depth: Cell<usize>,
    pub too_deep: Cell<Option<Span>>,
}

impl<'t> Sink<'t> {
    /// A sink that holds these nodes and mistakes already.
    pub fn new(file: u32, text: &'t str, nodes: Vec<Node>, faults: Vec<Fault>) -> Sink<'t> {
        Sink {
            file,
            text,
            nodes: RefCell::new(nodes),
            faults: RefCell::new(faults),
            noting: Cell::new(false),
            furthest: Cell::new(usize::MAX),
            expected: RefCell::default(),
            depth: Cell::new(0),
            too_deep: Cell::new(None),
        }
    }
}

/// A cursor.
#[derive(Clone, Copy)]
pub struct Cursor<'t> {
    pub tokens: &'t [Token],
    pub sink: &'t Sink<'t>,
}

/// Nothing matched; where and what is noted in the sink.
#[derive(Debug)]
pub struct NoMatch;

/// The answer of a parser function: its nodes are in the sink.
pub type Res<'t> = IResult<Cursor<'t>, (), NoMatch>;

impl<'t> ParseError<Cursor<'t>> for NoMatch {
    fn from_error_kind(_: Cursor<'t>, _: ErrorKind) -> NoMatch {
        NoMatch
    }

    fn append(_: Cursor<'t>, _: ErrorKind, _: NoMatch) -> NoMatch {
        NoMatch
    }
}

impl<'t> Cursor<'t> {
    pub fn first(self) -> Option<Token> {
        self.tokens.first().copied()
    }

    pub fn kind(self) -> Option<Tok> {
        self.first().map(|t| t.kind)
    }

    pub fn text_of(self, token: Token) -> &'t str {
        self.sink.text.get(token.start as usize..token.end as usize).unwrap_or("")
    }

    /// The text of the next token, empty at the end.
    pub fn word(self) -> &'t str {
        self.first().map_or("", |t| self.text_of(t))
    }

    pub fn skip(self, count: usize) -> Cursor<'t> {
        Cursor { tokens: self.tokens.get(count..).unwrap_or(&[]), sink: self.sink }
    }

    /// True where a statement may stop.
    pub fn at_end(self) -> bool {
        matches!(self.kind(), None | Some(Tok::End | Tok::Close))
    }

    pub fn span(self, start: u32, end: u32) -> Span {
        Span::new(self.sink.file, start, end)
    }

    /// Notes that `what` would have been accepted here; always a miss.
    pub fn miss(self, what: &'static str) -> Res<'t> {
        let sink = self.sink;
        if sink.noting.get() {
            // Fewer tokens left is further on.
            let left = self.tokens.len();
            if left < sink.furthest.get() {
                sink.furthest.set(left);
                sink.expected.borrow_mut().clear();
            }
            if left == sink.furthest.get() {
                let mut expected = sink.expected.borrow_mut();
                if !expected.contains(&what) {
                    expected.push(what);
                }
            }
        }
        Err(Err::Error(NoMatch))
    }

    pub fn leaf(self, kind: Kind, start: u32, end: u32) {
        let mut nodes = self.sink.nodes.borrow_mut();
        let next = nodes.len() as u32 + 1;
        nodes.push(Node { start, end, next, kind });
    }
}

impl<'t> Input for Cursor<'t> {
    type Item = Token;
    type Iter = std::iter::Copied<std::slice::Iter<'t, Token>>;
    type IterIndices = std::iter::Enumerate<Self::Iter>;

    fn input_len(&self) -> usize {
        self.tokens.len()
    }

    fn take(&self, index: usize) -> Self {
        Cursor { tokens: self.tokens.get(..index).unwrap_or(self.tokens), sink: self.sink }
    }

    fn take_from(&self, index: usize) -> Self {
        self.skip(index)
    }

    fn take_split(&self, index: usize) -> (Self, Self) {
        (self.skip(index), self.take(index))
    }

    fn position<P: Fn(Token) -> bool>(&self, predicate: P) -> Option<usize> {
        self.tokens.iter().position(|t| predicate(*t))
    }

    fn iter_elements(&self) -> Self::Iter {
        self.tokens.iter().copied()
    }

    fn iter_indices(&self) -> Self::IterIndices {
        self.iter_elements().enumerate()
    }

    fn slice_index(&self, count: usize) -> Result<usize, Needed> {
        if count <= self.tokens.len() { Ok(count) } else { Err(Needed::new(count - self.tokens.len())) }
    }
}

/// A parser of this grammar: it leaves its result in the sink.
pub trait Rule<'t>: Parser<Cursor<'t>, Output = (), Error = NoMatch> {}
impl<'t, P: Parser<Cursor<'t>, Output = (), Error = NoMatch>> Rule<'t> for P {}

/// A node of `kind` around what `inner` reads; nothing is left behind when it misses.
pub fn node<'t>(kind: Kind, mut inner: impl Rule<'t>) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| enclosed(i, kind, |i| inner.parse(i))
}

/// A node of `kind` around what the word `w` opens. Most alternatives are not the one, so a miss touches nothing.
pub fn opened_by<'t>(kind: Kind, w: &'static str, mut rest: impl Rule<'t>) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| match i.first() {
        Some(t) if t.kind == Tok::Word && i.text_of(t) == w => enclosed(i, kind, |i| rest.parse(i.skip(1))),
        _ => i.miss(w),
    }
}

fn enclosed<'t>(i: Cursor<'t>, kind: Kind, inner: impl FnOnce(Cursor<'t>) -> Res<'t>) -> Res<'t> {
    let (at, faults) = (i.sink.nodes.borrow().len(), i.sink.faults.borrow().len());
    let start = i.first().map_or(0, |t| t.start);
    i.leaf(kind, start, start);
    match inner(i) {
        Ok((rest, ())) => {
            let used = i.tokens.len() - rest.tokens.len();
            let end = used.checked_sub(1).and_then(|n| i.tokens.get(n)).map_or(start, |t| t.end);
            let mut nodes = i.sink.nodes.borrow_mut();
            let next = nodes.len() as u32;
            if let Some(node) = nodes.get_mut(at) {
                node.end = end;
                node.next = next;
            }
            Ok((rest, ()))
        }
        Err(miss) => {
            i.sink.nodes.borrow_mut().truncate(at);
            i.sink.faults.borrow_mut().truncate(faults);
            Err(miss)
        }
    }
}

/// What `inner` reads, one level deeper. Beyond [`DEEPEST`] it is a miss, and the place is noted.
pub fn deeper<'t>(mut inner: impl Rule<'t>) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| {
        let sink = i.sink;
        let depth = sink.depth.get();
        if depth >= DEEPEST {
            sink.too_deep.set(i.first().map(|t| i.span(t.start, t.end)));
            return Err(Err::Error(NoMatch));
        }
        sink.depth.set(depth + 1);
        let read = inner.parse(i);
        sink.depth.set(depth);
        read
    }
}

fn token<'t>(i: Cursor<'t>, kind: Tok, what: &'static str) -> Res<'t> {
    if i.kind() == Some(kind) { Ok((i.skip(1), ())) } else { i.miss(what) }
}

fn leaf<'t>(i: Cursor<'t>, tok: Tok, kind: Kind, what: &'static str) -> Res<'t> {
    match i.first() {
        Some(t) if t.kind == tok => {
            i.leaf(kind, t.start, t.end);
            Ok((i.skip(1), ()))
        }
        _ => i.miss(what),
    }
}

/// A word that leaves no node.
pub fn word<'t>(w: &'static str) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| match i.first() {
        Some(t) if t.kind == Tok::Word && i.text_of(t) == w => Ok((i.skip(1), ())),
        _ => i.miss(w),
    }
}

/// A word that means something: it leaves a leaf.
pub fn key<'t>(w: &'static str) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| match i.first() {
        Some(t) if t.kind == Tok::Word && i.text_of(t) == w => {
            i.leaf(Kind::Word, t.start, t.end);
            Ok((i.skip(1), ()))
        }
        _ => i.miss(w),
    }
}

/// A sign.
pub fn sign<'t>(kind: Tok) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| {
        let what = match kind {
            Tok::Comma => ",",
            Tok::Colon => ":",
            Tok::Dot => ".",
            Tok::DotDot => "..",
            Tok::Arrow => "->",
            Tok::ParenOpen => "(",
            Tok::ParenClose => ")",
            Tok::Open => "{",
            _ => "}",
        };
        token(i, kind, what)
    }
}

pub fn name(i: Cursor<'_>) -> Res<'_> {
    leaf(i, Tok::Word, Kind::Name, "a name")
}

pub fn number(i: Cursor<'_>) -> Res<'_> {
    leaf(i, Tok::Number, Kind::Number, "a number")
}

pub fn text(i: Cursor<'_>) -> Res<'_> {
    leaf(i, Tok::Text, Kind::Text, "a text in quotes")
}

fn glued(a: Token, b: Token) -> bool {
    a.end == b.start
}

/// `1.10`, `2B`.
pub fn slot(i: Cursor<'_>) -> Res<'_> {
    let Some(first) = i.first().filter(|t| t.kind == Tok::Number) else { return i.miss("a slot") };
    let letter = i.skip(1).first().filter(|t| t.kind == Tok::Word && glued(first, *t) && t.end - t.start == 1);
    i.leaf(Kind::Slot, first.start, letter.unwrap_or(first).end);
    Ok((i.skip(if letter.is_some() { 2 } else { 1 }), ()))
}

/// `1:30`, a knob's hand on a clock face.
pub fn clock(i: Cursor<'_>) -> Res<'_> {
    match *i.tokens {
        [a, b, c, ..]
            if [a.kind, b.kind, c.kind] == [Tok::Number, Tok::Colon, Tok::Number] && glued(a, b) && glued(b, c) =>
        {
            i.leaf(Kind::Clock, a.start, c.end);
            Ok((i.skip(3), ()))
        }
        _ => i.miss("a clock position as `1:30`"),
    }
}

/// A number with its unit. A unit that is missing or wrongly written is told, and reading goes on.
pub fn quantity(i: Cursor<'_>) -> Res<'_> {
    let sign = usize::from(i.kind() == Some(Tok::Minus));
    let j = i.skip(sign);
    let (Some(first), Some(number)) = (i.first(), j.first().filter(|t| t.kind == Tok::Number)) else {
        return i.miss("a number with its unit");
    };
    if sign == 1 && !glued(first, number) {
        return i.miss("a number with its unit");
    }
    let k = j.skip(1);
    let (mut end, mut used) = (number.end, 0);
    match k.first() {
        Some(t) if t.kind == Tok::Percent => (end, used) = (t.end, 1),
        Some(t) if t.kind == Tok::Word && (glued(number, t) || units::like(i.text_of(t))) => {
            (end, used) = (t.end, 1);
            let per = k.skip(1).first().filter(|s| s.kind == Tok::Slash && glued(t, *s));
            let what = k.skip(2).first().filter(|w| w.kind == Tok::Word);
            if let (Some(s), Some(w)) = (per, what)
                && glued(s, w)
            {
                (end, used) = (w.end, 3);
            }
        }
        _ => {}
    }
    let unit = i.sink.text.get(number.end as usize..end as usize).unwrap_or("").trim();
    let at = i.span(first.start, end);
    match units::find(unit) {
        units::Found::Unit(_) => {}
        units::Found::Case(meant) => i.sink.faults.borrow_mut().push(Fault::UnitCase { at, meant }),
        units::Found::No => i.sink.faults.borrow_mut().push(Fault::UnitMissing { at }),
    }
    let written = i.sink.text.get(number.start as usize..number.end as usize).unwrap_or("");
    if written.len() > decimal::MOST_DIGITS && decimal::read(written).is_none() {
        i.sink.faults.borrow_mut().push(Fault::NumberTooLong { at });
    }
    i.leaf(Kind::Quantity, first.start, end);
    Ok((k.skip(used), ()))
}
