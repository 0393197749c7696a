//! Scenes, layers, defaults, and what may be said in them.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;

use super::{braces, list, void};
use crate::syntax::cursor::{In, Res, key, name, node, number, quantity, sign, stated, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn default(i: In<'_>) -> Res<'_> {
    stated(Kind::Default, "default", scene_body).parse(i)
}

pub fn layer(i: In<'_>) -> Res<'_> {
    stated(Kind::Layer, "layer", void((name, opt(text), scene_body))).parse(i)
}

pub fn scene(i: In<'_>) -> Res<'_> {
    let head = (name, opt(text), opt(from), opt(with), opt(was));
    stated(Kind::Scene, "scene", void((head, opt_scene_body))).parse(i)
}

pub fn from(i: In<'_>) -> Res<'_> {
    stated(Kind::From, "from", name).parse(i)
}

pub fn with(i: In<'_>) -> Res<'_> {
    stated(Kind::With, "with", list(name)).parse(i)
}

pub fn was(i: In<'_>) -> Res<'_> {
    stated(Kind::Was, "was", name).parse(i)
}

pub fn scene_body(i: In<'_>) -> Res<'_> {
    node(Kind::SceneBody, braces(saying)).parse(i)
}

fn opt_scene_body(i: In<'_>) -> Res<'_> {
    void(opt(scene_body)).parse(i)
}

pub fn saying(i: In<'_>) -> Res<'_> {
    alt((engage, bypass, close, open, pulse, port_at, output_is, setting, mute)).parse(i)
}

pub fn engage(i: In<'_>) -> Res<'_> {
    stated(Kind::Engage, "engage", list(loop_or_name)).parse(i)
}

pub fn bypass(i: In<'_>) -> Res<'_> {
    stated(Kind::Bypass, "bypass", list(loop_or_name)).parse(i)
}

pub fn loop_or_name(i: In<'_>) -> Res<'_> {
    alt((stated(Kind::LoopRef, "loop", number), name)).parse(i)
}

pub fn close(i: In<'_>) -> Res<'_> {
    stated(Kind::Close, "close", list(contact)).parse(i)
}

pub fn open(i: In<'_>) -> Res<'_> {
    stated(Kind::Open, "open", list(contact)).parse(i)
}

pub fn pulse(i: In<'_>) -> Res<'_> {
    stated(Kind::Pulse, "pulse", list(contact)).parse(i)
}

pub fn contact(i: In<'_>) -> Res<'_> {
    stated(Kind::Contact, "remote", void((number, alt((key("tip"), key("ring")))))).parse(i)
}

pub fn port_at(i: In<'_>) -> Res<'_> {
    let what = alt((void((word("at"), quantity)), void(foot), void(key("stays"))));
    stated(Kind::PortAt, "expression", void((number, what))).parse(i)
}

pub fn output_is(i: In<'_>) -> Res<'_> {
    stated(Kind::OutputIs, "output", void((number, alt((key("on"), key("off")))))).parse(i)
}

pub fn mute(i: In<'_>) -> Res<'_> {
    node(Kind::Mute, word("mute")).parse(i)
}

pub fn setting(i: In<'_>) -> Res<'_> {
    let value = alt((foot, void(key("stays")), quantity, name));
    node(Kind::Setting, void((name, sign(Tok::Dot), name, value))).parse(i)
}

pub fn foot(i: In<'_>) -> Res<'_> {
    let start = (word("from"), alt((key("heel"), key("toe"))));
    stated(Kind::Foot, "foot", void(opt(start))).parse(i)
}
