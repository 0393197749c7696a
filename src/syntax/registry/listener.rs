//! A listener, what it is sent, and what the switcher can do with messages.

use super::{Place, Row, row};
use crate::syntax::grammar::listener;

pub(super) const ROWS: &[Row] = &[
    row(
        "listener",
        listener::listener,
        &[
            "listener a {}",
            "listener a \"b\" { control c on midi 3 programs from 1 { d: program 1 } }",
            "listener a\n{\n  place under\n}",
        ],
        &["listener", "listener a", "listener {}", "listener \"a\" {}", "listener a { mute }", "listener a { loop 1 }"],
    )
    .free(Place::Top, &["listener"])
    .block(listener::listener_fact)
    .column(2),
    row(
        "listener-fact",
        listener::listener_fact,
        &["control a on midi 3 cc 20 { b: value 1 }", "power a.B, 100 mA", "place under"],
        &["", "gain 3 dB", "code ABC", "loop 1", "level a on midi 3 cc 20"],
    ),
    row(
        "cue",
        listener::cue,
        &[
            "control a on midi 3 programs from 1 { b: program 12 }",
            "control a on midi 3 cc 80, on leaving { b: value 0; c: value 127 }",
            "control a on midi 3 messages, after 2 s { b: note 60 at 100 }",
            "control a on midi 3 messages, only if changed { b: sysex \"F0 7D 01 F7\" }",
            "control a on midi 3 messages, after 500 ms, only if changed { b: cc 20 value 127, note 60 off }",
        ],
        &[
            "control a",
            "control a on midi 3 messages",
            "control a by foot { b; c }",
            "control a on remote 1 { b: tip open }",
            "control a on midi 3 messages, leaving { b: note 60 off }",
            "control a on midi 3 messages, only if changed, on leaving { b: note 60 off }",
        ],
    )
    .opens(Place::Listener, &["control"]),
    row("listener-power", listener::listener_power, &["power a.B, 100 mA"], &["power a", "power a.B", "gain 3 dB"])
        .opens(Place::Listener, &["power"])
        .column(1),
    row("listener-place", listener::listener_place, &["place top", "place under"], &["place", "place left"])
        .opens(Place::Listener, &["place"])
        .column(1),
    row(
        "on-messages",
        listener::on_messages,
        &["on midi 3 messages", "on midi 3 messages shared"],
        &["on midi messages", "on midi 3", "midi 3 messages", "on midi 3 message"],
    ),
    row("on-leaving", listener::on_leaving, &["on leaving"], &["leaving", "on", "on leave"]),
    row("after-time", listener::after_time, &["after 2 s", "after 500 ms"], &["after", "after 2", "2 s"]),
    row("only-changed", listener::only_changed, &["only if changed"], &["only", "if changed", "only changed"]),
    row(
        "message",
        listener::message,
        &["cc 20 value 127", "note 60 at 100", "note 60 off", "sysex \"F0 7D 01 F7\""],
        &["", "program 12", "value 127", "cc 20", "note 60", "sysex"],
    ),
    row("cc-message", listener::cc_message, &["cc 20 value 127"], &["cc 20", "cc value 127", "cc 20 127"]),
    row(
        "note-message",
        listener::note_message,
        &["note 60 at 100", "note 60 off"],
        &["note 60", "note off", "note 60 on"],
    ),
    row("sysex", listener::sysex, &["sysex \"F0 7D 01 F7\""], &["sysex", "sysex F0 7D F7", "\"F0 7D F7\""]),
    row(
        "messages",
        listener::messages,
        &["messages 16 a preset", "messages on leaving, after up to 30 s, only if changed, sysex up to 32 bytes"],
        &["messages", "messages 16", "messages 16 a preset on leaving", "messages after 30 s", "message 16 a preset"],
    )
    .opens(Place::Switcher, &["messages"]),
    row(
        "messages-fact",
        listener::messages_fact,
        &["16 a preset", "on leaving", "after up to 30 s", "only if changed", "sysex up to 32 bytes"],
        &["", "a preset", "leaving", "after 30 s", "sysex 32 bytes"],
    ),
    row("in-preset", listener::in_preset, &["16 a preset"], &["16", "a preset", "16 preset"]),
    row("up-to-time", listener::up_to_time, &["after up to 30 s"], &["after 30 s", "up to 30 s", "after up to 30"]),
    row("up-to-bytes", listener::up_to_bytes, &["sysex up to 32 bytes"], &["sysex 32 bytes", "sysex up to 32"]),
];
