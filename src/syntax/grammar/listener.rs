//! A listener: it takes messages and makes no sound, as lights and recorders do.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::opt;

use super::device::{on_cc, on_midi, place, power, states};
use super::{braces, list, void, words};
use crate::syntax::cursor::{Cursor, Res, key, name, node, number, opened_by, quantity, sign, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

pub fn listener(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Listener, "listener", void((name, opt(text), braces(listener_fact)))).parse(i)
}

pub fn listener_fact(i: Cursor<'_>) -> Res<'_> {
    alt((cue, listener_power, listener_place)).parse(i)
}

/// A control that sends, and when it does.
pub fn cue(i: Cursor<'_>) -> Res<'_> {
    let how = alt((on_midi, on_cc, on_messages));
    let moment = opt((sign(Tok::Comma), alt((on_leaving, after_time))));
    let changed = opt((sign(Tok::Comma), only_changed));
    opened_by(Kind::Control, "control", void((name, how, moment, changed, states))).parse(i)
}

/// As a device says it.
pub fn listener_power(i: Cursor<'_>) -> Res<'_> {
    power(i)
}

pub fn listener_place(i: Cursor<'_>) -> Res<'_> {
    place(i)
}

pub fn on_messages(i: Cursor<'_>) -> Res<'_> {
    node(Kind::OnMessages, void((words("on", "midi"), number, word("messages"), opt(key("shared"))))).parse(i)
}

pub fn on_leaving(i: Cursor<'_>) -> Res<'_> {
    node(Kind::OnLeaving, words("on", "leaving")).parse(i)
}

pub fn after_time(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::AfterTime, "after", quantity).parse(i)
}

pub fn only_changed(i: Cursor<'_>) -> Res<'_> {
    node(Kind::OnlyChanged, void((words("only", "if"), word("changed")))).parse(i)
}

/// What a state sends, where a control sends more than programs or the values of one controller.
pub fn message(i: Cursor<'_>) -> Res<'_> {
    alt((cc_message, note_message, sysex)).parse(i)
}

pub fn cc_message(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::CcMessage, "cc", void((number, word("value"), number))).parse(i)
}

pub fn note_message(i: Cursor<'_>) -> Res<'_> {
    let how = alt((void((word("at"), number)), void(key("off"))));
    opened_by(Kind::NoteMessage, "note", void((number, how))).parse(i)
}

pub fn sysex(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Sysex, "sysex", text).parse(i)
}

/// What the switcher can do with messages.
pub fn messages(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Messages, "messages", list(messages_fact)).parse(i)
}

pub fn messages_fact(i: Cursor<'_>) -> Res<'_> {
    alt((in_preset, on_leaving, up_to_time, only_changed, up_to_bytes)).parse(i)
}

pub fn in_preset(i: Cursor<'_>) -> Res<'_> {
    node(Kind::InPreset, void((number, words("a", "preset")))).parse(i)
}

pub fn up_to_time(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::UpToTime, "after", void((words("up", "to"), quantity))).parse(i)
}

pub fn up_to_bytes(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::UpToBytes, "sysex", void((words("up", "to"), number, word("bytes")))).parse(i)
}
