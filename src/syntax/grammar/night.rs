//! What amends a book for one night.

use nom::branch::alt;
use nom::multi::many0_count;
use nom::{Err, Parser};

use super::board::{chain, guitar, panel, supply, switcher};
use super::device::{amp, buffer, pedal, treadle};
use super::helper::helper;
use super::listener::listener;
use super::scene::{default, layer, scene};
use super::song::{safe, set, slots, song};
use super::{list, void};
use crate::syntax::cursor::{Cursor, NoMatch, Res, name, node, opened_by, sign, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

/// What `instead` may stand before.
pub const REPLACED: [&str; 18] = [
    "switcher", "guitar", "supply", "pedal", "buffer", "treadle", "amp", "chain", "panel", "default", "layer", "scene",
    "song", "set", "slots", "safe", "helper", "listener",
];

pub fn without(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Without, "without", list(name)).parse(i)
}

pub fn instead(i: Cursor<'_>) -> Res<'_> {
    let board = alt((switcher, guitar, supply, pedal, buffer, treadle, amp, helper, listener, chain, panel));
    let show = alt((default, layer, scene, song, set, slots, safe));
    opened_by(Kind::Instead, "instead", alt((board, show, use_by))).parse(i)
}

pub fn use_by(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::UseBy, "use", void((text, word("by"), text))).parse(i)
}

/// Told from a misspelt fact by its third word, so that a misspelt one is still met with the nearest.
pub fn state_map(i: Cursor<'_>) -> Res<'_> {
    if i.kind() != Some(Tok::Word) || i.skip(2).word() != "is" {
        return Err(Err::Error(NoMatch));
    }
    node(Kind::StateMap, void((name, mapped, many0_count((sign(Tok::Comma), mapped))))).parse(i)
}

pub fn mapped(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Mapped, void((name, word("is"), name))).parse(i)
}

/// True for a line whose `without` opens a statement, and is no name that somebody gave: a name follows it, and nothing
/// else or a comma. `left`, `right`, `send` and `return` may follow a name in a chain.
pub fn opens_without(behind: &str) -> bool {
    let (word, rest) =
        behind.split_at(behind.find(|c: char| !(c.is_alphanumeric() || c == '-')).unwrap_or(behind.len()));
    let ends = rest.trim_start_matches([' ', '\t', '\u{a0}']).chars().next();
    let ends = ends.is_none_or(|c| matches!(c, '\n' | '\r' | ';' | '#' | ','));
    ends && word.starts_with(char::is_alphabetic) && !["left", "right", "send", "return"].contains(&word)
}

/// The same of `instead`: the word of a kind follows it.
pub fn opens_instead(behind: &str) -> bool {
    let word = behind.split(|c: char| !c.is_ascii_lowercase()).next().unwrap_or("");
    word == "use" || REPLACED.contains(&word)
}
