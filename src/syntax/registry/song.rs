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
    row("song-note", song::song_note, &["note \"a\""], &["note", "note a", "note: a"]).free(Place::Song, &["note"]),
    row("musical-key", song::musical_key, &["key \"E minor\""], &["key", "key a", "key 4"]).free(Place::Song, &["key"]),
    row("capo", song::capo, &["capo 2"], &["capo", "capo \"2\"", "capo a"]).free(Place::Song, &["capo"]),
    row("count-in", song::count_in, &["count in \"drums\""], &["count in", "count \"drums\"", "count in a"])
        .free(Place::Song, &["count"]),
    row("lasts", song::lasts, &["lasts 4:10", "lasts 61:05"], &["lasts", "lasts 4", "lasts \"4:10\"", "lasts 4 : 10"])
        .free(Place::Song, &["lasts"]),
    row(
        "from-outside",
        song::from_outside,
        &["called from outside"],
        &["called", "called from", "called from \"a\"", "called: a"],
    )
    .free(Place::Song, &["called"]),
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
        &[
            "tap a dotted-eighth",
            "beat a quarter",
            "hand \"a\"",
            "note \"a\"",
            "cue \"a\"",
            "times 2",
            "on a",
            "tuning \"a\"",
            "capo 3",
            "lasts 0:40",
            "called from outside",
            "by foot",
            "press 6",
            "press F",
        ],
        &["", "press", "tap a", "tap quarter", "beat quarter", "hand a", "\"a\"", "times a", "cue 2", "lasts 40"],
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
    row("encore", song::encore, &["encore"], &["", "encore \"a\""]).opens(Place::Set, &["encore"]),
    row("drop", song::drop, &["drop \"a\"", "drop \"a\", \"b\""], &["drop", "drop a", "drop \"a\" \"b\""])
        .opens(Place::Set, &["drop"]),
    row(
        "move",
        song::move_,
        &["move \"a\" before \"b\"", "move \"a\", \"b\" first", "move \"a\" after \"b\"", "move \"a\" last"],
        &["move", "move \"a\"", "move a first", "move \"a\" before", "move \"a\" \"b\""],
    )
    .opens(Place::Set, &["move"]),
    row("swap", song::swap, &["swap \"a\", \"b\""], &["swap \"a\"", "swap \"a\" \"b\"", "swap \"a\", \"b\", \"c\""])
        .opens(Place::Set, &["swap"]),
    row(
        "replace",
        song::replace,
        &["replace \"a\" by \"b\""],
        &["replace \"a\"", "replace \"a\", \"b\"", "replace a by b"],
    )
    .opens(Place::Set, &["replace"]),
    row(
        "play",
        song::play,
        &["\"a\"", "\"a\" after \"b\"", "\"a\", \"b\" before \"c\"", "\"a\" first", "\"a\" last"],
        &["", "a", "\"a\" after", "\"a\" \"b\"", "\"a\" first last"],
    )
    .opens(Place::Set, &[]),
    row("also", song::also, &[", \"a\""], &["", "\"a\"", ", a"]),
    row("spot", song::spot, &["after \"a\"", "before \"a\"", "first", "last"], &["", "after", "before a", "\"a\""]),
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
    .opens(Place::Top, &["if"]),
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
