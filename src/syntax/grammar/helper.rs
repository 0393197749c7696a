//! A helper: a smaller unit whose loops the switcher's messages or contacts engage.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;

use super::device::{on_cc, on_midi, on_remote, place, power};
use super::scene::loop_or_name;
use super::{braces, list, void};
use crate::syntax::cursor::{Cursor, Res, name, number, opened_by, sign, text};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn helper(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Helper, "helper", void((name, opt(text), braces(helper_fact)))).parse(i)
}

pub fn helper_fact(i: Cursor<'_>) -> Res<'_> {
    alt((own_loops, called, presets, kept, helper_power, helper_place)).parse(i)
}

/// As a device says it.
pub fn helper_power(i: Cursor<'_>) -> Res<'_> {
    power(i)
}

pub fn helper_place(i: Cursor<'_>) -> Res<'_> {
    place(i)
}

pub fn own_loops(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::OwnLoops, "loops", number).parse(i)
}

/// How the switcher reaches it.
pub fn called(i: Cursor<'_>) -> Res<'_> {
    alt((on_remote, on_midi, on_cc)).parse(i)
}

pub fn presets(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Presets, "presets", number).parse(i)
}

pub fn kept(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Kept, "preset", void((number, opt((sign(Tok::Colon), list(loop_or_name)))))).parse(i)
}

pub fn of_helper(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::OfHelper, "of", name).parse(i)
}

/// True for a line whose `helper` or `listener` opens a statement, and is no name that somebody gave: a name follows it, and a text or a
/// block behind that.
pub fn opens_helper(behind: &str) -> bool {
    let end = behind.find(|c: char| !(c.is_alphanumeric() || c == '-')).unwrap_or(behind.len());
    let (word, rest) = behind.split_at(end);
    word.starts_with(char::is_alphabetic) && rest.trim_start().starts_with(['"', '{'])
}
