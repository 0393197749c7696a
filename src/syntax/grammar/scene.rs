//! Scenes, layers, defaults, and what may be said in them.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;

use super::helper::of_helper;
use super::{braces, list, number_or_name, void, words};
use crate::syntax::cursor::{Cursor, Res, key, name, node, number, opened_by, quantity, sign, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn default(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Default, "default", scene_body).parse(i)
}

pub fn layer(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Layer, "layer", void((name, opt(text), scene_body))).parse(i)
}

pub fn scene(i: Cursor<'_>) -> Res<'_> {
    let head = (name, opt(text), opt(from), opt(with), opt(was));
    opened_by(Kind::Scene, "scene", void((head, opt_scene_body))).parse(i)
}

pub fn from(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::From, "from", name).parse(i)
}

pub fn with(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::With, "with", list(name)).parse(i)
}

pub fn was(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Was, "was", name).parse(i)
}

pub fn scene_body(i: Cursor<'_>) -> Res<'_> {
    node(Kind::SceneBody, braces(saying)).parse(i)
}

fn opt_scene_body(i: Cursor<'_>) -> Res<'_> {
    void(opt(scene_body)).parse(i)
}

pub fn saying(i: Cursor<'_>) -> Res<'_> {
    let cells = alt((engage, bypass, close, open, pulse, port_at, output_is, hear, order_is));
    alt((cells, press, again, setting, moves, mute)).parse(i)
}

pub fn engage(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Engage, "engage", list(loop_or_name)).parse(i)
}

pub fn bypass(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Bypass, "bypass", list(loop_or_name)).parse(i)
}

pub fn loop_or_name(i: Cursor<'_>) -> Res<'_> {
    alt((opened_by(Kind::LoopRef, "loop", void((number, opt(of_helper)))), name)).parse(i)
}

pub fn close(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Close, "close", list(contact)).parse(i)
}

pub fn open(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Open, "open", list(contact)).parse(i)
}

pub fn pulse(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Pulse, "pulse", list(contact)).parse(i)
}

pub fn contact(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Contact, "remote", void((number, alt((key("tip"), key("ring")))))).parse(i)
}

pub fn port_at(i: Cursor<'_>) -> Res<'_> {
    let what = alt((void((word("at"), quantity)), void(foot), void(key("stays"))));
    opened_by(Kind::PortAt, "expression", void((number, what))).parse(i)
}

pub fn output_is(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::OutputIs, "output", void((number, alt((key("on"), key("off")))))).parse(i)
}

pub fn hear(i: Cursor<'_>) -> Res<'_> {
    let input = (word("input"), number);
    opened_by(Kind::Hear, "hear", alt((void(input), name))).parse(i)
}

pub fn order_is(i: Cursor<'_>) -> Res<'_> {
    let wired = words("as", "wired");
    opened_by(Kind::OrderIs, "order", alt((void(wired), list(loop_or_name)))).parse(i)
}

pub fn mute(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Mute, word("mute")).parse(i)
}

pub fn setting(i: Cursor<'_>) -> Res<'_> {
    let value = alt((foot, void(key("stays")), quantity, name));
    node(Kind::Setting, void((name, sign(Tok::Dot), name, value))).parse(i)
}

/// What a switch does while the preset sounds.
pub fn press(i: Cursor<'_>) -> Res<'_> {
    let does = alt((void((alt((key("toggles"), key("holds"))), press_moves)), void(words("does", "nothing"))));
    opened_by(Kind::Press, "switch", void((number_or_name, does))).parse(i)
}

pub fn press_moves(i: Cursor<'_>) -> Res<'_> {
    let numbered = (alt((key("loop"), key("output"))), number);
    let named = (name, opt((sign(Tok::Dot), name, opt(name))));
    node(Kind::PressMoves, alt((void(numbered), contact, void(named)))).parse(i)
}

/// The scene that the same switch calls when it is pressed again.
pub fn again(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Again, "again", name).parse(i)
}

pub fn foot(i: Cursor<'_>) -> Res<'_> {
    let start = (word("from"), alt((key("heel"), key("toe"))));
    opened_by(Kind::Foot, "foot", void(opt(start))).parse(i)
}

pub fn moves(i: Cursor<'_>) -> Res<'_> {
    let start = (word("from"), alt((key("heel"), key("toe"))));
    let what = alt((list(moved), void(key("nothing"))));
    node(Kind::Moves, void((name, opt(start), word("moves"), what))).parse(i)
}

pub fn moved(i: Cursor<'_>) -> Res<'_> {
    let range = opt((word("from"), quantity, word("to"), quantity));
    node(Kind::Moved, void((name, sign(Tok::Dot), name, range))).parse(i)
}
