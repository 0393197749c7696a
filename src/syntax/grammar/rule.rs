//! Rules and limits. `not` binds tighter than `and`, `and` tighter than `or`.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::many0_count;

use super::helper::of_helper;
use super::scene::contact;
use super::{list, void, words};
use crate::syntax::cursor::{Cursor, Res, deeper, key, name, node, number, opened_by, quantity, sign, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn rule(i: Cursor<'_>) -> Res<'_> {
    let body = alt((at_most, exactly, never, always, needs));
    opened_by(Kind::Rule, "rule", void((opt(text), body))).parse(i)
}

pub fn at_most(i: Cursor<'_>) -> Res<'_> {
    node(Kind::AtMost, void((words("at", "most"), words("one", "of"), list(either)))).parse(i)
}

pub fn exactly(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Exactly, "exactly", void((words("one", "of"), list(either)))).parse(i)
}

pub fn never(i: Cursor<'_>) -> Res<'_> {
    let beside = opt((word("beside"), either));
    opened_by(Kind::Never, "never", void((either, beside))).parse(i)
}

pub fn always(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Always, "always", either).parse(i)
}

pub fn needs(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Needs, void((either, word("needs"), either))).parse(i)
}

pub fn either(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Either, void((both, many0_count((word("or"), both))))).parse(i)
}

pub fn both(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Both, void((denied, many0_count((word("and"), denied))))).parse(i)
}

pub fn denied(i: Cursor<'_>) -> Res<'_> {
    let inside = (sign(Tok::ParenOpen), deeper(either), sign(Tok::ParenClose));
    alt((opened_by(Kind::Denied, "not", deeper(denied)), void(inside), atom)).parse(i)
}

pub fn atom(i: Cursor<'_>) -> Res<'_> {
    let contact_is = (contact, alt((key("open"), key("closed"))));
    let output_is = (key("output"), number, alt((key("on"), key("off"))));
    let of = (sign(Tok::Dot), name, alt((void(compared), void(key("foot")), void(name))));
    node(
        Kind::Atom,
        alt((
            void(contact_is),
            void((key("loop"), number, opt(of_helper))),
            void(output_is),
            void((key("any"), name)),
            void((name, opt(of))),
        )),
    )
    .parse(i)
}

pub fn compared(i: Cursor<'_>) -> Res<'_> {
    let bound = alt((void((word("at"), alt((key("least"), key("most"))))), void(key("above")), void(key("below"))));
    node(Kind::Compared, void((opt(bound), quantity))).parse(i)
}

pub fn limit(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Limit, "limit", void((words("level", "step"), quantity))).parse(i)
}
