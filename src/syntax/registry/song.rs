//! Songs, sets, slots, and what is said about the book as a whole.

use super::{Place, Row, row};
use crate::syntax::grammar::song;

pub(super) const ROWS: &[Row] = &[
    row(
        "song",
        song::song,
        &["song \"a\" {}", "song \"a\" at 92 bpm on b { tuning \"c\"; d }", "song \"a\" on b {}"],
        &["song \"a\"", "song a {}", "song \"a\" on b at 92 bpm {}", "song \"a\" { d e }"],
    )
    .opens(Place::Top, &["song"])
    .block(song::song_line)
    .column(2),
    row("tempo", song::tempo, &["at 92 bpm", "at 92.5bpm"], &["at 92", "92 bpm", "at bpm"]),
    row("song-line", song::song_line, &["tuning \"a\"", "a: b"], &["", "\"a\"", "pause \"a\""]),
    row("tuning", song::tuning, &["tuning \"drop D\""], &["tuning", "tuning a", "tuning: \"a\""])
        .opens(Place::Song, &["tuning"]),
    row(
        "part",
        song::part,
        &["a", "a: b", "\"a\": b", "a, hand \"b\"", "a: b, tap c quarter, note \"d\""],
        &["", "\"a\"", "a b", "a:", "a, b", "a: \"b\"", "a hand \"b\""],
    )
    .opens(Place::Song, &[]),
    row(
        "part-note",
        song::part_note,
        &["tap a dotted-eighth", "hand \"a\"", "note \"a\""],
        &["", "tap a", "tap quarter", "hand a", "\"a\"", "tap a \"b\""],
    ),
    row("note-value", song::note_value, &song::NOTE_VALUES, &["", "dotted", "dotted quarter", "double", "quarters"]),
    row(
        "set",
        song::set,
        &["set \"a\" {}", "set \"a\" from \"b\" { drop \"c\"; \"d\" after \"e\" }"],
        &["set \"a\"", "set a {}", "set \"a\" from b {}", "set \"a\" { c }"],
    )
    .opens(Place::Top, &["set"])
    .block(song::set_line)
    .column(2),
    row("set-line", song::set_line, &["\"a\"", "pause \"a\"", "drop \"a\""], &["", "a", "play \"a\""]),
    row("pause", song::pause, &["pause \"a\""], &["pause", "pause a"]).opens(Place::Set, &["pause"]),
    row("drop", song::drop, &["drop \"a\""], &["drop", "drop a", "drop \"a\", \"b\""]).opens(Place::Set, &["drop"]),
    row("play", song::play, &["\"a\"", "\"a\" after \"b\""], &["", "a", "\"a\" after", "\"a\" \"b\""])
        .opens(Place::Set, &[]),
    row(
        "slots",
        song::slots,
        &["slots {}", "slots { 1.1 a; 2B b; every bank switch 5 c; others auto }"],
        &["slots", "slots a {}", "slots { 1.1 }", "slots { a 1.1 }"],
    )
    .opens(Place::Top, &["slots"])
    .block(song::slot_line),
    row("slot-line", song::slot_line, &["others auto", "1.1 a"], &["", "1.1", "a"]),
    row(
        "every",
        song::every,
        &["every bank switch 5 a", "every bank switch E a"],
        &["every bank 5 a", "every bank switch a", "every switch 5 a", "every bank switch 5 \"a\""],
    )
    .opens(Place::Slots, &["every"]),
    row("others", song::others, &["others auto"], &["others", "auto", "others a"]).opens(Place::Slots, &["others"]),
    row("pinned", song::pinned, &["1.1 a", "2B a", "2 B"], &["1.1", "a", "1.1 a b", "B2 a"]).opens(Place::Slots, &[]),
    row("safe", song::safe, &["safe 1.5", "safe 1E"], &["safe", "safe a", "safe 1.5 a"]).opens(Place::Top, &["safe"]),
    row(
        "fallback",
        song::fallback,
        &["if a fails, b becomes c"],
        &["if a fails", "if a fails b becomes c", "if a, b becomes c", "a fails, b becomes c"],
    )
    .opens(Place::Top, &["if"])
    .later("what you play when a device fails"),
    row(
        "allow",
        song::allow,
        &["allow a \"why\"", "allow a b \"why\"", "allow a b to c \"why\""],
        &["allow", "allow a", "allow \"why\"", "allow a b c \"why\"", "allow a b to \"why\""],
    )
    .opens(Place::Top, &["allow"]),
    row("ways", song::ways, &["ways any", "ways as listed"], &["ways", "ways as", "ways listed", "ways any listed"])
        .opens(Place::Top, &["ways"]),
];
