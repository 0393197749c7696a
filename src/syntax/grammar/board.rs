//! The board, its switcher, guitars, supplies, leads and panel.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::{many0_count, many1_count};

use super::{braces, opt_braces, void, words};
use crate::syntax::cursor::{In, Res, key, name, node, number, quantity, sign, slot, stated, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn board(i: In<'_>) -> Res<'_> {
    stated(Kind::Board, "board", void((text, opt((word("version"), text))))).parse(i)
}

pub fn use_file(i: In<'_>) -> Res<'_> {
    stated(Kind::Use, "use", text).parse(i)
}

pub fn switcher(i: In<'_>) -> Res<'_> {
    stated(Kind::Switcher, "switcher", braces(switcher_fact)).parse(i)
}

pub fn switcher_fact(i: In<'_>) -> Res<'_> {
    alt((loops, jacks, ports, outputs, banks, display, repress, wakes, presses)).parse(i)
}

pub fn loops(i: In<'_>) -> Res<'_> {
    let split = (sign(Tok::Comma), words("split", "after"), number);
    stated(Kind::Loops, "loops", void((number, opt(split)))).parse(i)
}

pub fn jacks(i: In<'_>) -> Res<'_> {
    node(Kind::Jacks, void((words("remote", "jacks"), number))).parse(i)
}

pub fn ports(i: In<'_>) -> Res<'_> {
    stated(Kind::Ports, "expressions", void((number, word("of"), number, word("steps")))).parse(i)
}

pub fn outputs(i: In<'_>) -> Res<'_> {
    stated(Kind::Outputs, "outputs", number).parse(i)
}

pub fn banks(i: In<'_>) -> Res<'_> {
    let range = (number, sign(Tok::DotDot), number);
    let switches = alt((void((number, sign(Tok::DotDot), number)), void((name, sign(Tok::DotDot), name))));
    stated(Kind::Banks, "banks", void((range, sign(Tok::Comma), word("switches"), switches))).parse(i)
}

pub fn display(i: In<'_>) -> Res<'_> {
    stated(Kind::Display, "display", number).parse(i)
}

pub fn repress(i: In<'_>) -> Res<'_> {
    stated(Kind::Repress, "repress", alt((key("ignored"), key("repeats")))).parse(i)
}

pub fn wakes(i: In<'_>) -> Res<'_> {
    stated(Kind::Wakes, "wakes", slot).parse(i)
}

pub fn presses(i: In<'_>) -> Res<'_> {
    let same = (words("same", "bank"), number);
    let step = (words("bank", "step"), number);
    stated(Kind::Presses, "presses", void((sign(Tok::Colon), same, sign(Tok::Comma), step))).parse(i)
}

pub fn guitar(i: In<'_>) -> Res<'_> {
    stated(Kind::Guitar, "guitar", void((name, opt(text), opt_braces(guitar_fact)))).parse(i)
}

pub fn guitar_fact(i: In<'_>) -> Res<'_> {
    alt((pickup, volume, cable)).parse(i)
}

pub fn pickup(i: In<'_>) -> Res<'_> {
    let parts = (quantity, sign(Tok::Comma), quantity, sign(Tok::Comma), quantity);
    stated(Kind::Pickup, "pickup", void(parts)).parse(i)
}

pub fn volume(i: In<'_>) -> Res<'_> {
    stated(Kind::Volume, "volume", void((quantity, word("at"), quantity))).parse(i)
}

pub fn cable(i: In<'_>) -> Res<'_> {
    stated(Kind::Cable, "cable", void((quantity, word("at"), quantity))).parse(i)
}

pub fn supply(i: In<'_>) -> Res<'_> {
    stated(Kind::Supply, "supply", void((name, opt(text), braces(supply_fact)))).parse(i)
}

pub fn supply_fact(i: In<'_>) -> Res<'_> {
    alt((margin, outlet)).parse(i)
}

pub fn margin(i: In<'_>) -> Res<'_> {
    stated(Kind::Margin, "margin", quantity).parse(i)
}

pub fn outlet(i: In<'_>) -> Res<'_> {
    let more = many0_count((sign(Tok::Comma), outlet_word));
    stated(Kind::Outlet, "outlet", void((name, quantity, sign(Tok::Comma), quantity, more))).parse(i)
}

pub fn outlet_word(i: In<'_>) -> Res<'_> {
    alt((key("centre-negative"), key("centre-positive"), key("isolated"), key("shared"))).parse(i)
}

pub fn chain(i: In<'_>) -> Res<'_> {
    let links = (link, many1_count((sign(Tok::Arrow), link)));
    stated(Kind::Chain, "chain", void((name, sign(Tok::Colon), links))).parse(i)
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
    stated(Kind::Panel, "panel", braces(panel_jack)).parse(i)
}

pub fn panel_jack(i: In<'_>) -> Res<'_> {
    let numbered = (alt((key("output"), key("remote"), key("expression"))), number);
    let device = (name, opt(alt((key("send"), key("return")))), opt(side));
    let what = alt((void(numbered), void(device)));
    node(Kind::PanelJack, void((alt((key("in"), key("out"))), number, what))).parse(i)
}
