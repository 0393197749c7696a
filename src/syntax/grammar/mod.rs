//! The productions of `grammar/scene.ebnf`, one function each, named as there.

pub mod board;
pub mod device;
pub mod helper;
pub mod listener;
pub mod night;
pub mod rule;
pub mod scene;
pub mod song;

use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::many0_count;
use nom::{IResult, Parser};

use super::cursor::{Cursor, NoMatch, Res, Rule, name, number, sign, word};
use super::lexer::Tok;
use super::recover::{Production, block};

/// Runs a parser for its nodes alone.
pub(super) fn void<'t, P: Parser<Cursor<'t>, Error = NoMatch>>(parser: P) -> impl Rule<'t> {
    parser.map(|_| ())
}

/// One or more, with commas.
pub(super) fn list<'t>(one: Production) -> impl Rule<'t> {
    void((one, many0_count((sign(Tok::Comma), one))))
}

/// A block of statements.
pub(super) fn braces<'t>(inner: Production) -> impl FnMut(Cursor<'t>) -> Res<'t> {
    move |i| block(i, inner)
}

/// A block that may be left out.
pub(super) fn opt_braces<'t>(inner: Production) -> impl FnMut(Cursor<'t>) -> IResult<Cursor<'t>, Option<()>, NoMatch> {
    move |i| opt(braces(inner)).parse(i)
}

/// `number '..' number` or letters.
pub(super) fn number_or_name(i: Cursor<'_>) -> Res<'_> {
    alt((number, name)).parse(i)
}

/// `'at' 'bank' …`: two words in a row that leave no node.
pub(super) fn words<'t>(a: &'static str, b: &'static str) -> impl Rule<'t> {
    void((word(a), word(b)))
}
