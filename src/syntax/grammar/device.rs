//! Pedals, buffers, amps and treadles: what a device is and where it sits.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;
use nom::multi::many0_count;

use super::board::leg_name;
use super::helper::of_helper;
use super::listener::message;
use super::night::state_map;
use super::scene::contact;
use super::{braces, list, opt_braces, void, words};
use crate::syntax::cursor::{Cursor, Res, Rule, clock, key, name, node, number, opened_by, quantity, sign, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn pedal(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Pedal, "pedal", device_head).parse(i)
}

pub fn buffer(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Buffer, "buffer", device_head).parse(i)
}

pub fn amp(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Amp, "amp", device_head).parse(i)
}

pub fn device_head(i: Cursor<'_>) -> Res<'_> {
    void((name, opt(text), opt(opened_by(Kind::Like, "like", name)), opt_braces(device_fact))).parse(i)
}

pub fn device_fact(i: Cursor<'_>) -> Res<'_> {
    alt((
        alt((code, loop_place, always_on, input, output, send, return_jack, gain)),
        alt((power, place, own_switch, fed_by, control, level, tap, beat, tail, knob)),
        alt((bare, inverts, takes, earthed, tuner, own_leads, engaged_by, battery, state_map)),
        alt((leg, key_input, insert_stays, keeps)),
    ))
    .parse(i)
}

pub fn code(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Code, "code", name).parse(i)
}

pub fn loop_place(i: Cursor<'_>) -> Res<'_> {
    let sides = opt(alt((key("stereo"), key("mono"))));
    opened_by(Kind::Loop, "loop", void((number, opt(of_helper), sides))).parse(i)
}

pub fn always_on(i: Cursor<'_>) -> Res<'_> {
    node(Kind::AlwaysOn, words("always", "on")).parse(i)
}

fn one_quantity<'t>(kind: Kind, opener: &'static str) -> impl Rule<'t> {
    node(kind, void((word(opener), quantity)))
}

pub fn input(i: Cursor<'_>) -> Res<'_> {
    one_quantity(Kind::Input, "input").parse(i)
}

pub fn output(i: Cursor<'_>) -> Res<'_> {
    one_quantity(Kind::Output, "output").parse(i)
}

pub fn send(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Send, "send", void((quantity, opt(at_line)))).parse(i)
}

pub fn return_jack(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Return, "return", void((quantity, opt(at_line)))).parse(i)
}

pub fn at_line(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::AtLine, "at", words("line", "level")).parse(i)
}

pub fn gain(i: Cursor<'_>) -> Res<'_> {
    let known = opt(alt((key("stated"), key("measured"))));
    opened_by(Kind::Gain, "gain", void((quantity, known))).parse(i)
}

pub fn power(i: Cursor<'_>) -> Res<'_> {
    let outlet = (name, sign(Tok::Dot), name);
    let volts = opt((word("at"), quantity, opt((word("to"), quantity))));
    let more = many0_count((sign(Tok::Comma), power_word));
    opened_by(Kind::Power, "power", void((outlet, sign(Tok::Comma), quantity, opt(peak), volts, more))).parse(i)
}

pub fn peak(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Peak, "peak", quantity).parse(i)
}

pub fn battery(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Battery, "battery", void((quantity, sign(Tok::Comma), quantity))).parse(i)
}

pub fn power_word(i: Cursor<'_>) -> Res<'_> {
    let reversing = void((key("reversing"), word("lead")));
    alt((key("centre-negative"), key("centre-positive"), key("AC"), key("isolated"), reversing)).parse(i)
}

pub fn place(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Place, "place", alt((key("top"), key("under")))).parse(i)
}

pub fn own_switch(i: Cursor<'_>) -> Res<'_> {
    let state = alt((key("on"), key("off")));
    node(Kind::OwnSwitch, void((words("own", "switch"), word("starts"), state))).parse(i)
}

pub fn fed_by(i: Cursor<'_>) -> Res<'_> {
    node(Kind::FedBy, void((words("fed", "by"), word("output"), number))).parse(i)
}

pub fn bare(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Bare, "sees", words("bare", "guitar")).parse(i)
}

pub fn inverts(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Inverts, "inverts", word("polarity")).parse(i)
}

pub fn keeps(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Keeps, "keeps", word("polarity")).parse(i)
}

pub fn leg(i: Cursor<'_>) -> Res<'_> {
    let level = alt((void((key("gain"), quantity)), void((key("by"), name))));
    let turned = (sign(Tok::Comma), key("inverts"), word("polarity"));
    opened_by(Kind::Leg, "leg", void((leg_name, opt(level), opt(turned)))).parse(i)
}

pub fn key_input(i: Cursor<'_>) -> Res<'_> {
    node(Kind::KeyInput, void((words("key", "input"), quantity))).parse(i)
}

pub fn insert_stays(i: Cursor<'_>) -> Res<'_> {
    node(Kind::InsertStays, words("insert", "stays")).parse(i)
}

pub fn takes(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Takes, "takes", words("instrument", "level")).parse(i)
}

pub fn own_leads(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::OwnLeads, "leads", void((quantity, word("at"), quantity))).parse(i)
}

pub fn earthed(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Earthed, word("earthed")).parse(i)
}

pub fn tuner(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Tuner, word("tuner")).parse(i)
}

pub fn engaged_by(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::EngagedBy, "engaged", void((word("by"), name, name))).parse(i)
}

pub fn tap(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Tap, "tap", words("by", "foot")).parse(i)
}

pub fn beat(i: Cursor<'_>) -> Res<'_> {
    let pulsed = void((by_pulses, opt(tempi)));
    opened_by(Kind::Beat, "tempo", alt((words("by", "clock"), pulsed, void((on_cc, tempi))))).parse(i)
}

pub fn by_pulses(i: Cursor<'_>) -> Res<'_> {
    void((word("by"), number, words("pulses", "on"), contact)).parse(i)
}

pub fn tempi(i: Cursor<'_>) -> Res<'_> {
    void((word("from"), quantity, word("to"), quantity)).parse(i)
}

pub fn tail(i: Cursor<'_>) -> Res<'_> {
    let cut = opt((sign(Tok::Comma), key("cut"), words("by", "programs")));
    opened_by(Kind::Tail, "tail", void((quantity, cut))).parse(i)
}

pub fn knob(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Knob, "knob", void((name, alt((clock, quantity, name, text))))).parse(i)
}

pub fn control(i: Cursor<'_>) -> Res<'_> {
    let how = alt((by_foot, on_remote, on_midi, on_cc));
    opened_by(Kind::Control, "control", void((name, how, opt(states), opt(starts)))).parse(i)
}

pub fn by_foot(i: Cursor<'_>) -> Res<'_> {
    node(Kind::ByFoot, words("by", "foot")).parse(i)
}

pub fn on_remote(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::OnRemote, "on", void((list(jack), many0_count(wiring)))).parse(i)
}

pub fn jack(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Jack, "remote", void((opt(number), opt(alt((key("tip"), key("ring"))))))).parse(i)
}

pub fn wiring(i: Cursor<'_>) -> Res<'_> {
    alt((void(key("momentary")), void(key("shared")), void((key("normally"), word("closed"))))).parse(i)
}

pub fn on_midi(i: Cursor<'_>) -> Res<'_> {
    let channel = opt(number);
    let shared = opt(key("shared"));
    node(Kind::OnMidi, void((words("on", "midi"), channel, words("programs", "from"), number, shared))).parse(i)
}

pub fn states(i: Cursor<'_>) -> Res<'_> {
    node(Kind::States, braces(state)).parse(i)
}

pub fn state(i: Cursor<'_>) -> Res<'_> {
    let pattern = alt((void(program), void(value), list(message), list(contact_is)));
    node(Kind::State, void((name, opt((sign(Tok::Colon), pattern))))).parse(i)
}

pub fn program(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Program, "program", void((number, opt((word("bank"), number))))).parse(i)
}

pub fn value(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Value, "value", number).parse(i)
}

pub fn contact_is(i: Cursor<'_>) -> Res<'_> {
    let which = (opt(number), opt(alt((key("tip"), key("ring")))));
    node(Kind::ContactIs, void((which, alt((key("open"), key("closed")))))).parse(i)
}

pub fn starts(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Starts, "starts", alt((key("unknown"), name))).parse(i)
}

pub fn level(i: Cursor<'_>) -> Res<'_> {
    let range = opt((word("from"), quantity, word("to"), quantity));
    let how = alt((by_foot, on_port, on_trim, on_cc));
    opened_by(Kind::Level, "level", void((name, how, range))).parse(i)
}

pub fn on_port(i: Cursor<'_>) -> Res<'_> {
    node(Kind::OnPort, void((words("on", "expression"), opt(number), opt(key("shared"))))).parse(i)
}

pub fn on_trim(i: Cursor<'_>) -> Res<'_> {
    node(Kind::OnTrim, void((words("on", "output"), number))).parse(i)
}

pub fn on_cc(i: Cursor<'_>) -> Res<'_> {
    let channel = opt(number);
    node(Kind::OnCc, void((words("on", "midi"), channel, word("cc"), number, opt(key("shared"))))).parse(i)
}

pub fn treadle(i: Cursor<'_>) -> Res<'_> {
    let feeds = (word("feeds"), word("expression"), number);
    opened_by(Kind::Treadle, "treadle", void((name, opt(text), alt((void(feeds), on_foot_input))))).parse(i)
}

pub fn on_foot_input(i: Cursor<'_>) -> Res<'_> {
    node(Kind::OnFootInput, void((words("on", "foot"), word("input"), number))).parse(i)
}
