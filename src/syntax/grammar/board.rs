//! The board, its switcher, guitars, supplies, leads and panel.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::{many0_count, many1_count};

use super::{braces, opt_braces, void, words};
use crate::syntax::cursor::{In, Res, key, name, node, number, quantity, sign, slot, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn board(i: In<'_>) -> Res<'_> {
    node(Kind::Board, void((word("board"), text, opt((word("version"), text))))).parse(i)
}

pub fn use_file(i: In<'_>) -> Res<'_> {
    node(Kind::Use, void((word("use"), text))).parse(i)
}

pub fn switcher(i: In<'_>) -> Res<'_> {
    node(Kind::Switcher, void((word("switcher"), braces(switcher_fact)))).parse(i)
}

pub fn switcher_fact(i: In<'_>) -> Res<'_> {
    alt((loops, jacks, ports, outputs, banks, display, repress, wakes, presses)).parse(i)
}

pub fn loops(i: In<'_>) -> Res<'_> {
    let split = (sign(Tok::Comma), words("split", "after"), number);
    node(Kind::Loops, void((word("loops"), number, opt(split)))).parse(i)
}

pub fn jacks(i: In<'_>) -> Res<'_> {
    node(Kind::Jacks, void((words("remote", "jacks"), number))).parse(i)
}

pub fn ports(i: In<'_>) -> Res<'_> {
    node(Kind::Ports, void((word("expressions"), number, word("of"), number, word("steps")))).parse(i)
}

pub fn outputs(i: In<'_>) -> Res<'_> {
    node(Kind::Outputs, void((word("outputs"), number))).parse(i)
}

pub fn banks(i: In<'_>) -> Res<'_> {
    let range = (number, sign(Tok::DotDot), number);
    let switches = alt((void((number, sign(Tok::DotDot), number)), void((name, sign(Tok::DotDot), name))));
    node(Kind::Banks, void((word("banks"), range, sign(Tok::Comma), word("switches"), switches))).parse(i)
}

pub fn display(i: In<'_>) -> Res<'_> {
    node(Kind::Display, void((word("display"), number))).parse(i)
}

pub fn repress(i: In<'_>) -> Res<'_> {
    node(Kind::Repress, void((word("repress"), alt((key("ignored"), key("repeats")))))).parse(i)
}

pub fn wakes(i: In<'_>) -> Res<'_> {
    node(Kind::Wakes, void((word("wakes"), slot))).parse(i)
}

pub fn presses(i: In<'_>) -> Res<'_> {
    let same = (words("same", "bank"), number);
    let step = (words("bank", "step"), number);
    node(Kind::Presses, void((word("presses"), sign(Tok::Colon), same, sign(Tok::Comma), step))).parse(i)
}

pub fn guitar(i: In<'_>) -> Res<'_> {
    node(Kind::Guitar, void((word("guitar"), name, opt(text), opt_braces(guitar_fact)))).parse(i)
}

pub fn guitar_fact(i: In<'_>) -> Res<'_> {
    alt((pickup, volume, cable)).parse(i)
}

pub fn pickup(i: In<'_>) -> Res<'_> {
    let parts = (quantity, sign(Tok::Comma), quantity, sign(Tok::Comma), quantity);
    node(Kind::Pickup, void((word("pickup"), parts))).parse(i)
}

pub fn volume(i: In<'_>) -> Res<'_> {
    node(Kind::Volume, void((word("volume"), quantity, word("at"), quantity))).parse(i)
}

pub fn cable(i: In<'_>) -> Res<'_> {
    node(Kind::Cable, void((word("cable"), quantity, word("at"), quantity))).parse(i)
}

pub fn supply(i: In<'_>) -> Res<'_> {
    node(Kind::Supply, void((word("supply"), name, opt(text), braces(supply_fact)))).parse(i)
}

pub fn supply_fact(i: In<'_>) -> Res<'_> {
    alt((margin, outlet)).parse(i)
}

pub fn margin(i: In<'_>) -> Res<'_> {
    node(Kind::Margin, void((word("margin"), quantity))).parse(i)
}

pub fn outlet(i: In<'_>) -> Res<'_> {
    let more = many0_count((sign(Tok::Comma), outlet_word));
    node(Kind::Outlet, void((word("outlet"), name, quantity, sign(Tok::Comma), quantity, more))).parse(i)
}

pub fn outlet_word(i: In<'_>) -> Res<'_> {
    alt((key("centre-negative"), key("centre-positive"), key("isolated"), key("shared"))).parse(i)
}

pub fn chain(i: In<'_>) -> Res<'_> {
    let links = (link, many1_count((sign(Tok::Arrow), link)));
    node(Kind::Chain, void((word("chain"), name, sign(Tok::Colon), links))).parse(i)
}

pub fn link(i: In<'_>) -> Res<'_> {
    let sides = (side, opt((sign(Tok::Comma), side)));
    let device = (name, opt(alt((key("send"), key("return")))), opt(sides));
    node(
        Kind::Link,
        alt((
            void((key("loop"), number)),
            void((key("loops"), number, sign(Tok::DotDot), number)),
            void((key("output"), number)),
            void(cable),
            void(device),
        )),
    )
    .parse(i)
}

pub fn side(i: In<'_>) -> Res<'_> {
    alt((key("left"), key("right"))).parse(i)
}

pub fn patch(i: In<'_>) -> Res<'_> {
    node(Kind::Patch, void((words("patch", "leads"), quantity, word("at"), quantity))).parse(i)
}

pub fn panel(i: In<'_>) -> Res<'_> {
    node(Kind::Panel, void((word("panel"), braces(panel_jack)))).parse(i)
}

pub fn panel_jack(i: In<'_>) -> Res<'_> {
    let numbered = (alt((key("output"), key("remote"), key("expression"))), number);
    let device = (name, opt(alt((key("send"), key("return")))), opt(side));
    let what = alt((void(numbered), void(device)));
    node(Kind::PanelJack, void((alt((key("in"), key("out"))), number, what))).parse(i)
}
