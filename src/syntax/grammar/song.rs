//! Songs, sets, slots, and what is said about the book as a whole.

use nom::Parser;
use nom::branch::alt;
use nom::combinator::{opt, success};
use nom::multi::many0_count;

use super::device::by_foot;
use super::{braces, number_or_name, void, words};
use crate::syntax::cursor::{Cursor, Res, clock, key, name, node, number, opened_by, sign, slot, text, word};
use crate::syntax::kind::Kind;
use crate::syntax::lexer::Tok;

/// The note values, in the order of the grammar.
pub const NOTE_VALUES: [&str; 15] = [
    "whole",
    "half",
    "quarter",
    "eighth",
    "sixteenth",
    "dotted-whole",
    "dotted-half",
    "dotted-quarter",
    "dotted-eighth",
    "dotted-sixteenth",
    "triplet-whole",
    "triplet-half",
    "triplet-quarter",
    "triplet-eighth",
    "triplet-sixteenth",
];

pub fn song(i: Cursor<'_>) -> Res<'_> {
    let on = opt((word("on"), name));
    opened_by(Kind::Song, "song", void((text, opt(tempo), on, braces(song_line)))).parse(i)
}

pub fn tempo(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Tempo, "at", void((number, word("bpm")))).parse(i)
}

pub fn song_line(i: Cursor<'_>) -> Res<'_> {
    alt((tuning, song_note, musical_key, capo, count_in, lasts, from_outside, part)).parse(i)
}

pub fn tuning(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Tuning, "tuning", text).parse(i)
}

pub fn song_note(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::SongNote, "note", text).parse(i)
}

pub fn musical_key(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::MusicalKey, "key", text).parse(i)
}

pub fn capo(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Capo, "capo", number).parse(i)
}

pub fn count_in(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::CountIn, "count", void((word("in"), text))).parse(i)
}

pub fn lasts(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Lasts, "lasts", clock).parse(i)
}

pub fn from_outside(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::FromOutside, "called", words("from", "outside")).parse(i)
}

pub fn part(i: Cursor<'_>) -> Res<'_> {
    let titled = (text, sign(Tok::Colon), name);
    let named = (name, opt((sign(Tok::Colon), name)));
    let notes = many0_count((sign(Tok::Comma), part_note));
    node(Kind::Part, void((alt((void(titled), void(named))), notes))).parse(i)
}

pub fn part_note(i: Cursor<'_>) -> Res<'_> {
    let tap = (alt((key("tap"), key("beat"))), name, note_value);
    let said = (alt((key("hand"), key("note"), key("cue"))), text);
    let on = (key("on"), name);
    let press = (key("press"), number_or_name);
    let counted = alt((void((key("times"), number)), void(press)));
    let once = alt((lasts, tuning, capo, from_outside, by_foot));
    node(Kind::PartNote, alt((void(tap), void(said), counted, void(on), once))).parse(i)
}

pub fn note_value(i: Cursor<'_>) -> Res<'_> {
    match i.first().filter(|_| NOTE_VALUES.contains(&i.word())) {
        Some(token) => {
            i.leaf(Kind::NoteValue, token.start, token.end);
            Ok((i.skip(1), ()))
        }
        None => {
            // All of them are noted, so no shortcut to the last.
            let misses = NOTE_VALUES.into_iter().map(|value| i.miss(value));
            misses.reduce(|_, miss| miss).unwrap_or_else(|| i.miss("a note value"))
        }
    }
}

pub fn set(i: Cursor<'_>) -> Res<'_> {
    let from = opt(opened_by(Kind::From, "from", text));
    opened_by(Kind::Set, "set", void((text, from, braces(set_line)))).parse(i)
}

pub fn set_line(i: Cursor<'_>) -> Res<'_> {
    alt((pause, encore, drop, move_, swap, replace, play)).parse(i)
}

pub fn pause(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Pause, "pause", text).parse(i)
}

pub fn drop(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Drop, "drop", void((text, many0_count(also)))).parse(i)
}

pub fn encore(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Encore, "encore", success(())).parse(i)
}

pub fn move_(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Move, "move", void((text, many0_count(also), spot))).parse(i)
}

pub fn swap(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Swap, "swap", void((text, sign(Tok::Comma), text))).parse(i)
}

pub fn replace(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Replace, "replace", void((text, word("by"), text))).parse(i)
}

pub fn play(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Play, void((text, many0_count(also), opt(spot)))).parse(i)
}

pub fn also(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Also, void((sign(Tok::Comma), text))).parse(i)
}

/// The song that others come after stands bare, as it did before there were other places.
pub fn spot(i: Cursor<'_>) -> Res<'_> {
    let other = alt((void((key("before"), text)), void(key("first")), void(key("last"))));
    alt((void((word("after"), text)), void(node(Kind::Spot, other)))).parse(i)
}

pub fn slots(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Slots, "slots", braces(slot_line)).parse(i)
}

pub fn slot_line(i: Cursor<'_>) -> Res<'_> {
    alt((every, others, pinned)).parse(i)
}

pub fn every(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Every, void((words("every", "bank"), word("switch"), number_or_name, name))).parse(i)
}

pub fn others(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Others, words("others", "auto")).parse(i)
}

pub fn pinned(i: Cursor<'_>) -> Res<'_> {
    node(Kind::Pinned, void((slot, name))).parse(i)
}

pub fn safe(i: Cursor<'_>) -> Res<'_> {
    opened_by(Kind::Safe, "safe", slot).parse(i)
}

pub fn fallback(i: Cursor<'_>) -> Res<'_> {
    let when = (word("if"), name, word("fails"), sign(Tok::Comma));
    node(Kind::Fallback, void((when, name, word("becomes"), name))).parse(i)
}

pub fn allow(i: Cursor<'_>) -> Res<'_> {
    let about = opt((name, opt((word("to"), name))));
    opened_by(Kind::Allow, "allow", void((name, about, text))).parse(i)
}

pub fn ways(i: Cursor<'_>) -> Res<'_> {
    let which = alt((void(key("any")), void((key("as"), word("listed")))));
    opened_by(Kind::Ways, "ways", which).parse(i)
}
