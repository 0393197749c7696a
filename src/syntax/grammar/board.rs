//! The board, its switcher, guitars, supplies, leads and panel.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::{many0_count, many1_count};

use super::device::{peak, power};
use super::helper::of_helper;
use super::listener::messages;
use super::{braces, opt_braces, void, words};
use crate::syntax::cursor::{Cursor, Res, key, name, node, number, opened_by, quantity, sign, slot, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn board(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Board, "board", void((text, opt((word("version"), text))))).parse(i)
}

pub fn use_file(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Use, "use", text).parse(i)
}

pub fn switcher(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Switcher, "switcher", braces(switcher_fact)).parse(i)
}

pub fn switcher_fact(i: Cursor<'_>) -> Res<'_> {
    let counts = alt((loops, jacks, ports, foot_inputs, outputs, isolated, trims, guitar_inputs, loop_orders));
    let known = alt((banks, display, repress, wakes, presses, own_power, sends_clock, answers, messages));
    alt((counts, known, inside)).parse(i)
}

pub fn loops(i: Cursor<'_>) -> Res<'_> {
    let split = (sign(Tok::Comma), words("split", "after"), number);
    opened_by(Kind::Loops, "loops", void((number, opt(split)))).parse(i)
}

pub fn jacks(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Jacks, void((words("remote", "jacks"), number))).parse(i)
}

pub fn ports(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Ports, "expressions", void((number, word("of"), number, word("steps")))).parse(i)
}

pub fn trims(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Trims, "trims", void((word("of"), number, word("steps")))).parse(i)
}

pub fn foot_inputs(i: Cursor<'_>) -> Res<'_> {
    let each = (sign(Tok::Comma), number, words("targets", "each"));
    node(Kind::FootInputs, void((words("foot", "inputs"), number, opt(each)))).parse(i)
}

pub fn outputs(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Outputs, "outputs", number).parse(i)
}

pub fn isolated(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Isolated, "isolated", void((word("output"), number))).parse(i)
}

pub fn guitar_inputs(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::GuitarInputs, "guitar", void((word("inputs"), number))).parse(i)
}

pub fn loop_orders(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::LoopOrders, "order", void((words("of", "loops"), words("per", "preset")))).parse(i)
}

/// True for a line whose `guitar` describes one: `inputs 2` behind it is a fact of the switcher, wherever the line begins.
pub fn opens_guitar(behind: &str) -> bool {
    let inputs = behind.strip_prefix("inputs").map(|rest| (rest, rest.trim_start_matches([' ', '\t', '\u{a0}'])));
    !inputs.is_some_and(|(rest, number)| rest.len() > number.len() && number.starts_with(|c: char| c.is_ascii_digit()))
}

pub fn banks(i: Cursor<'_>) -> Res<'_> {
    let range = (number, sign(Tok::DotDot), number);
    let switches = alt((void((number, sign(Tok::DotDot), number)), void((name, sign(Tok::DotDot), name))));
    opened_by(Kind::Banks, "banks", void((range, sign(Tok::Comma), word("switches"), switches))).parse(i)
}

pub fn display(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Display, "display", number).parse(i)
}

pub fn sends_clock(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::SendsClock, "sends", word("clock")).parse(i)
}

pub fn answers(i: Cursor<'_>) -> Res<'_> {
    let programs = (word("midi"), number, words("programs", "from"), number);
    let banks = opt((sign(Tok::Comma), words("banks", "of"), number));
    let more = many0_count((sign(Tok::Comma), answers_word));
    opened_by(Kind::Answers, "answers", void((programs, banks, more))).parse(i)
}

pub fn answers_word(i: Cursor<'_>) -> Res<'_> {
    alt((void((key("hears"), word("itself"))), void((key("passes"), word("on"))))).parse(i)
}

pub fn repress(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Repress, "repress", alt((key("ignored"), key("repeats")))).parse(i)
}

pub fn wakes(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Wakes, "wakes", slot).parse(i)
}

pub fn presses(i: Cursor<'_>) -> Res<'_> {
    let same = (words("same", "bank"), number);
    let step = (words("bank", "step"), number);
    opened_by(Kind::Presses, "presses", void((sign(Tok::Colon), same, sign(Tok::Comma), step))).parse(i)
}

/// The switcher's, said as a device says it.
pub fn own_power(i: Cursor<'_>) -> Res<'_> {
    power(i)
}

/// What the unit can do inside a preset.
pub fn inside(i: Cursor<'_>) -> Res<'_> {
    let more = many0_count((sign(Tok::Comma), inside_has));
    opened_by(Kind::Inside, "inside", void((sign(Tok::Colon), inside_has, more))).parse(i)
}

pub fn inside_has(i: Cursor<'_>) -> Res<'_> {
    let range = alt((void((number, sign(Tok::DotDot), number)), void((name, sign(Tok::DotDot), name))));
    let counted = (alt((key("toggles"), key("holds"), key("rows"))), number);
    node(Kind::InsideHas, alt((void((key("switches"), range)), void(counted)))).parse(i)
}

pub fn guitar(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Guitar, "guitar", void((name, opt(text), opt_braces(guitar_fact)))).parse(i)
}

pub fn guitar_fact(i: Cursor<'_>) -> Res<'_> {
    alt((pickup, volume, cable, on_input, heard_when)).parse(i)
}

pub fn pickup(i: Cursor<'_>) -> Res<'_> {
    let loss = void((sign(Tok::Comma), word("loss"), quantity));
    let parts = (quantity, sign(Tok::Comma), quantity, sign(Tok::Comma), quantity, opt(loss));
    opened_by(Kind::Pickup, "pickup", void(parts)).parse(i)
}

pub fn volume(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Volume, "volume", void((quantity, word("at"), quantity))).parse(i)
}

pub fn cable(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Cable, "cable", void((quantity, word("at"), quantity))).parse(i)
}

pub fn on_input(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::OnInput, "on", void((words("guitar", "input"), number))).parse(i)
}

/// A device's control, and the state of it that lets the guitar through: as a scene says it.
pub fn heard_when(i: Cursor<'_>) -> Res<'_> {
    let setting = (name, sign(Tok::Dot), name, name);
    opened_by(Kind::HeardWhen, "heard", void((word("when"), setting))).parse(i)
}

pub fn supply(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Supply, "supply", void((name, opt(text), braces(supply_fact)))).parse(i)
}

pub fn supply_fact(i: Cursor<'_>) -> Res<'_> {
    alt((margin, total, outlet)).parse(i)
}

pub fn margin(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Margin, "margin", quantity).parse(i)
}

pub fn total(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Total, "total", quantity).parse(i)
}

pub fn outlet(i: Cursor<'_>) -> Res<'_> {
    let more = many0_count((sign(Tok::Comma), outlet_word));
    opened_by(Kind::Outlet, "outlet", void((name, quantity, sign(Tok::Comma), quantity, opt(peak), more))).parse(i)
}

pub fn outlet_word(i: Cursor<'_>) -> Res<'_> {
    alt((key("centre-negative"), key("centre-positive"), key("AC"), key("isolated"), key("shared"))).parse(i)
}

pub fn chain(i: Cursor<'_>) -> Res<'_> {
    let links = (link, many1_count((sign(Tok::Arrow), link)));
    opened_by(Kind::Chain, "chain", void((name, sign(Tok::Colon), links))).parse(i)
}

pub fn link(i: Cursor<'_>) -> Res<'_> {
    let sides = (side, opt((sign(Tok::Comma), side)));
    let device = (name, opt(jack_of), opt(sides));
    node(
        Kind::Link,
        alt((
            void((key("loop"), number, opt(of_helper))),
            void((key("loops"), number, sign(Tok::DotDot), number, opt(of_helper))),
            void((key("output"), number)),
            void(cable),
            void(device),
        )),
    )
    .parse(i)
}

/// Which jack of a device, beside its input and its output.
pub fn jack_of(i: Cursor<'_>) -> Res<'_> {
    let end = || alt((key("send"), key("return")));
    alt((void((leg_name, opt(end()))), void(end()), void(key("key")))).parse(i)
}

/// Words that stand behind a name in a chain, or open the next link where an arrow was forgotten.
const NO_LEG: [&str; 9] = ["send", "return", "key", "left", "right", "loop", "loops", "output", "cable"];

/// The name of a leg.
pub fn leg_name(i: Cursor<'_>) -> Res<'_> {
    if NO_LEG.contains(&i.word()) { i.miss("the name of a leg") } else { name(i) }
}

pub fn side(i: Cursor<'_>) -> Res<'_> {
    alt((key("left"), key("right"))).parse(i)
}

pub fn patch(i: Cursor<'_>) -> Res<'_> {
    let others = many0_count((sign(Tok::Comma), leads_of));
    node(Kind::Patch, void((words("patch", "leads"), quantity, word("at"), quantity, others))).parse(i)
}

pub fn leads_of(i: Cursor<'_>) -> Res<'_> {
    let audio = (alt((key("guitar"), key("amp"))), quantity, word("at"), quantity);
    let other = (alt((key("remote"), key("expression"), key("midi"), key("power"))), quantity);
    opened_by(Kind::LeadsOf, "for", alt((void(audio), void(other)))).parse(i)
}

pub fn panel(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Panel, "panel", braces(panel_jack)).parse(i)
}

pub fn panel_jack(i: Cursor<'_>) -> Res<'_> {
    let numbered = (alt((key("output"), key("remote"), key("expression"))), number);
    let device = (name, opt(jack_of), opt(side));
    let what = alt((void(numbered), void(device)));
    node(Kind::PanelJack, void((alt((key("in"), key("out"))), number, what))).parse(i)
}
