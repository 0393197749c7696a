//! The record of what is in the unit: a line a fact, only ever added to.
//!
//! ```text
//! 2026-11-27 1.2 programmed "lift" by "Ines" book "first" e3e53ba82b5f: loop-1 1, loop-2 0, expression-1 step 42 of 128 end
//! ```
//!
//! `programmed` tells what was put there, `read` what was read there later. Cells go by the jack or the message that they
//! drive, as the unit stores it, so that a line means the same whatever the book calls things today: programs are counted
//! from 0, as they are sent. A line that does not come to its `end` was cut short while it was written.

use std::collections::BTreeSet;
use std::fmt::Write;

use rustc_hash::FxHashMap;

use crate::Compiled;
use crate::book::travel::MOST_INPUTS;
use crate::book::{LoopOrder, Slot, Travel};
use crate::compare::back::read_back;
use crate::compare::beside::{Beside, Does, Switch};
use crate::compare::stored::{Column, Sends, Store, Wire, columns};
use crate::compare::unit::{Holds, Unit};
use crate::print::readings;
use crate::settle::Value;
use crate::source::ends;

/// How a record begins.
pub const HEAD: &str =
    "# What is in the unit: a line a fact, only ever added to. `tipring readback --help` tells more.\n";

/// How a fact came to be known.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum How {
    /// It was put there: of the slot nothing else is known.
    Programmed,
    /// It was read there: what was not read is as it was.
    Read,
}

/// Who says so, when, and by which book.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Source {
    /// One word; empty where nobody said.
    pub date: String,
    pub by: String,
    pub version: String,
    pub fingerprint: String,
}

/// A line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fact {
    pub slot: String,
    pub how: How,
    /// The name that the slot shows, where it is known.
    pub name: Option<String>,
    pub source: Source,
    /// What it holds: cell and value, in words.
    pub cells: Vec<(String, String)>,
}

/// A record as it was read.
#[derive(Clone, Debug, Default)]
pub struct Record {
    pub facts: Vec<Fact>,
    /// Lines that were cut short while they were written, from 1.
    pub short: Vec<usize>,
}

/// The word for what was read and is nothing that the board has a word for.
const OTHER: &str = "other";

/// How what a switch does is told.
const SWITCH: &str = "switch-";
const TOGGLES: &str = "toggles";
const HOLDS: &str = "holds";
const NOTHING: &str = "nothing";

/// The word for whether the slot's own switch, pressed again, calls its second row.
const SECOND: &str = "second-row";

/// The word where no date was given.
const UNDATED: &str = "undated";

impl How {
    fn word(self) -> &'static str {
        match self {
            How::Programmed => "programmed",
            How::Read => "read",
        }
    }
}

/// The lines that say what a unit holds, in slot order.
pub fn lines(compiled: &Compiled, unit: &Unit, how: How, source: &dyn Fn(Slot) -> Source) -> String {
    let Some(range) = compiled.book.board.switcher.as_ref().and_then(|s| s.slots) else { return String::new() };
    let columns = columns(compiled);
    let mut out = String::new();
    for (slot, holds) in &unit.slots {
        let cells = columns.iter().filter_map(|column| {
            let value = holds.cells.get(column.cell.index()).copied().flatten()?;
            Some((wire(column.wire), store(column.store(value)).unwrap_or_else(|| OTHER.to_owned())))
        });
        let cells = cells.chain(beside(&holds.beside)).collect();
        let fact = Fact { slot: range.show(*slot), how, name: holds.name.clone(), source: source(*slot), cells };
        write(&mut out, &fact);
    }
    out
}

/// What stands beside the cells: `switch-6 toggles loop-1 1`, `switch-7 nothing`, `second-row no`.
fn beside(beside: &Beside) -> Vec<(String, String)> {
    let switches = beside.switches.iter().map(|(name, switch)| {
        let says = match switch {
            Switch::Nothing => NOTHING.to_owned(),
            Switch::Other => OTHER.to_owned(),
            Switch::Does(does) => {
                let moved = does.moves.iter().map(|(to, held, _)| {
                    format!("{} {}", wire(*to), store(held.clone()).unwrap_or_else(|| OTHER.to_owned()))
                });
                format!("{} {}", if does.holds { HOLDS } else { TOGGLES }, moved.collect::<Vec<_>>().join("; "))
            }
        };
        (format!("{SWITCH}{name}"), says)
    });
    let second = beside.second.map(|there| (SECOND.to_owned(), if there { "yes" } else { "no" }.to_owned()));
    switches.chain(second).collect()
}

/// What a switch does by such words.
fn switch(known: &FxHashMap<String, &Column>, words: &str) -> Switch {
    if words == NOTHING {
        return Switch::Nothing;
    }
    let does = || {
        let (word, moves) = words.split_once(' ').filter(|(word, _)| [TOGGLES, HOLDS].contains(word))?;
        let moved = moves.split("; ").map(|one| {
            let (name, held) = one.split_once(' ')?;
            let column = known.get(name)?;
            Some((column.wire, column.store(value_of(column, held)?), column.cell))
        });
        Some(Does { holds: word == HOLDS, moves: moved.collect::<Option<_>>()? })
    };
    does().map_or(Switch::Other, Switch::Does)
}

fn write(out: &mut String, fact: &Fact) {
    let source = &fact.source;
    let date = if source.date.is_empty() { UNDATED } else { &source.date };
    let _ = write!(out, "{date} {} {}", fact.slot, fact.how.word());
    if let Some(name) = &fact.name {
        let _ = write!(out, " {}", quoted(name));
    }
    if !source.by.is_empty() {
        let _ = write!(out, " by {}", quoted(&source.by));
    }
    let _ = write!(out, " book {} {}:", quoted(&source.version), source.fingerprint);
    for (at, (cell, value)) in fact.cells.iter().enumerate() {
        let _ = write!(out, "{} {cell} {value}", if at > 0 { "," } else { "" });
    }
    out.push_str(" end\n");
}

/// A text in quotes, on one line.
fn quoted(text: &str) -> String {
    let plain = text.chars().map(|c| match c {
        '"' => '”',
        c if c.is_control() || ends::is_odd(c) => ' ',
        c => c,
    });
    format!("\"{}\"", plain.collect::<String>())
}

/// Reads a whole record. The error names every line that is no fact.
pub fn read(text: &str) -> Result<Record, String> {
    let (mut record, mut wrong) = (Record::default(), Vec::new());
    for (number, line) in ends::lines(text.trim_start_matches('\u{feff}')).enumerate() {
        let line = line.trim_matches(['\r', '\n', ' ']);
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        // One that was cut inside a text may seem to come to its end there.
        let whole = line.matches('"').count().is_multiple_of(2);
        match (line.strip_suffix(" end").filter(|_| whole), number + 1) {
            (None, number) => record.short.push(number),
            (Some(line), number) => match fact(line) {
                Some(fact) => record.facts.push(fact),
                None => wrong.push(format!("line {number} is no fact")),
            },
        }
    }
    if wrong.is_empty() { Ok(record) } else { Err(wrong.join("\n")) }
}

fn fact(line: &str) -> Option<Fact> {
    let (date, rest) = line.split_once(' ')?;
    // The slot is `1.1`, or `1.1 again`.
    let told = |how: How| rest.split_once(&format!(" {} ", how.word())).map(|(slot, rest)| (slot, how, rest));
    let ways = [told(How::Programmed), told(How::Read)].into_iter().flatten();
    let (slot, how, rest) = ways.min_by_key(|(slot, ..)| slot.len())?;
    let (name, rest) = match text(rest) {
        Some((name, rest)) => (Some(name.to_owned()), rest),
        None => (None, rest),
    };
    let (by, rest) = match rest.strip_prefix("by ") {
        Some(rest) => text(rest)?,
        None => ("", rest),
    };
    let (version, rest) = text(rest.strip_prefix("book ")?)?;
    let (fingerprint, rest) = rest.split_once(':')?;
    let pair = |cell: &str| cell.trim().split_once(' ').map(|(name, value)| (name.to_owned(), value.to_owned()));
    let cells = rest.split(',').map(str::trim).filter(|c| !c.is_empty()).map(pair).collect::<Option<Vec<_>>>()?;
    let date = if date == UNDATED { "" } else { date };
    let own = str::to_owned;
    let source = Source { date: own(date), by: own(by), version: own(version), fingerprint: own(fingerprint) };
    Some(Fact { slot: own(slot), how, name, source, cells })
}

/// A quoted text, and what stands behind it and a blank.
fn text(rest: &str) -> Option<(&str, &str)> {
    let (text, rest) = rest.strip_prefix('"')?.split_once('"')?;
    Some((text, rest.strip_prefix(' ')?))
}

/// A date as it may stand in a record: one word.
pub fn is_date(text: &str) -> bool {
    !text.is_empty()
        && !text.chars().any(|c| c.is_whitespace() || c.is_control() || matches!(c, '"' | '#'))
        && text != UNDATED
}

impl Record {
    /// What the unit holds by all facts, in the order in which they were written; of each slot its last fact with them.
    pub fn unit(&self, compiled: &Compiled) -> Unit {
        let mut unit = Unit::default();
        let Some(range) = compiled.book.board.switcher.as_ref().and_then(|s| s.slots) else { return unit };
        let columns = columns(compiled);
        let known: FxHashMap<String, &Column> = columns.iter().map(|column| (wire(column.wire), column)).collect();
        for fact in &self.facts {
            let Some(slot) = readings::slot(range, &fact.slot) else { continue };
            let holds = unit.slots.entry(slot).or_default();
            if fact.how == How::Programmed {
                *holds = Holds::default();
            }
            holds.cells.resize(compiled.table.cells.len(), None);
            holds.name = fact.name.clone().or(holds.name.take());
            let mut second = None;
            for (name, value) in &fact.cells {
                if let Some(name) = name.strip_prefix(SWITCH) {
                    holds.beside.switches.insert(name.to_owned(), switch(&known, value));
                    continue;
                }
                if name == SECOND {
                    second = Some(value == "yes");
                    holds.beside.second = second;
                    continue;
                }
                holds.others.retain(|other| !other.starts_with(&format!("{name} ")));
                match known.get(name) {
                    Some(column) => {
                        if let Some(cell) = holds.cells.get_mut(column.cell.index()) {
                            *cell = value_of(column, value);
                        }
                    }
                    None if name.starts_with("midi-") && value != "stays" => {
                        holds.others.push(format!("{name} {value}"))
                    }
                    None => {}
                }
            }
            if second == Some(false) {
                unit.slots.remove(&Slot { again: true, ..slot });
            }
        }
        unit
    }

    /// The slots that were last read from the very book of this fingerprint, and of which all that is heard was right.
    pub fn sure(&self, compiled: &Compiled, fingerprint: &str) -> BTreeSet<Slot> {
        let unit = self.unit(compiled);
        let back = read_back(compiled, &unit);
        let open = back.wrong.iter().map(|w| w.work.slot).chain(back.unread.iter().map(|u| u.slot));
        let inside = back.switched.iter().map(|one| one.slot).chain(back.unseen.iter().copied());
        let open: BTreeSet<Slot> = open.chain(inside).collect();
        let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
        let lasts = self.lasts();
        let read = |slot: &Slot| {
            let last = range.and_then(|range| lasts.get(range.show(*slot).as_str()));
            last.is_some_and(|fact| fact.how == How::Read && fact.source.fingerprint == fingerprint)
        };
        unit.slots.into_keys().filter(|slot| !open.contains(slot) && read(slot)).collect()
    }

    /// The last fact of each slot, by the slot as the unit shows it.
    pub fn lasts(&self) -> FxHashMap<&str, &Fact> {
        self.facts.iter().map(|fact| (fact.slot.as_str(), fact)).collect()
    }
}

/// What a cell drives: `loop-1`, `remote-2-tip`, `midi-5-program`, `midi-5-cc-20`; a second one of the same has a number.
fn wire(wire: Wire) -> String {
    let nth = |n: u16| if n == 0 { String::new() } else { format!("-no-{}", n + 1) };
    match wire {
        Wire::Loop(n) => format!("loop-{n}"),
        Wire::Contact(contact) => format!("remote-{}-{}", contact.jack, if contact.ring { "ring" } else { "tip" }),
        Wire::Pulses(contact, count) => format!("{}-{count}-pulses", self::wire(Wire::Contact(contact))),
        Wire::Clock => "clock".to_owned(),
        Wire::Port(n) => format!("expression-{n}"),
        Wire::Output(n) => format!("output-{n}"),
        Wire::Trim(n) => format!("trim-{n}"),
        Wire::Guitar => "guitar-input".to_owned(),
        Wire::Order => "loop-order".to_owned(),
        Wire::Programs(channel, n) => format!("midi-{channel}-program{}", nth(n)),
        Wire::Cc(channel, cc, n) => format!("midi-{channel}-cc-{cc}{}", nth(n)),
        Wire::Cue(channel, sends, cue, n) => {
            let what = match sends {
                Sends::Programs => "program".to_owned(),
                Sends::Cc(cc) => format!("cc-{cc}"),
                Sends::Messages => "messages".to_owned(),
            };
            let when = cue.says().replace(',', "").replace(' ', "-");
            let when = if when.is_empty() { when } else { format!("-{when}") };
            format!("midi-{channel}-{what}{when}{}", nth(n))
        }
    }
}

/// What is stored, in words; None where it is not known.
fn store(store: Store) -> Option<String> {
    Some(match store {
        Store::Off => "0".to_owned(),
        Store::On => "1".to_owned(),
        Store::Pulse => "pulse".to_owned(),
        Store::Stays => "stays".to_owned(),
        Store::Foot => "foot".to_owned(),
        Store::Moved(travel, steps) => {
            let (heel, toe) = travel.ends();
            format!("foot {} from step {heel} to step {toe} of {steps}", travel.input())
        }
        Store::Step(step, steps) => format!("step {step} of {steps}"),
        Store::Input(input) => format!("input {input}"),
        Store::Order(order) => format!("order {}", order.number()),
        Store::Program(None, program) => program.to_string(),
        Store::Program(Some(bank), program) => format!("{program} in bank {bank}"),
        Store::Bytes(bytes) => {
            let bytes: Vec<String> = bytes.iter().map(|b| format!("{b:02X}")).collect();
            format!("bytes {}", bytes.join(" "))
        }
        Store::Unknown => return None,
    })
}

/// The value of such words; None where this board cannot have it, so that nobody takes it for known.
fn value_of(column: &Column, words: &str) -> Option<Value> {
    let number = |word: &str| word.trim().parse::<u16>().ok();
    let stored = match words {
        "0" if !column.wire.programs() => Store::Off,
        "1" if !column.wire.programs() => Store::On,
        "pulse" => Store::Pulse,
        "stays" => Store::Stays,
        "foot" => Store::Foot,
        words if words.starts_with("input ") => Store::Input(number(words.trim_start_matches("input "))?),
        words if words.starts_with("order ") => {
            Store::Order(LoopOrder::numbered(words.trim_start_matches("order ").parse().ok()?))
        }
        words if words.starts_with("foot ") => moved(words)?,
        words if words.starts_with("bytes ") => {
            let bytes = words.split_whitespace().skip(1).map(|word| u8::from_str_radix(word, 16).ok());
            Store::Bytes(bytes.collect::<Option<Vec<u8>>>()?.into())
        }
        words => match (words.strip_prefix("step "), words.split_once(" in bank ")) {
            (Some(step), _) => {
                let (step, steps) = step.split_once(" of ")?;
                Store::Step(number(step)?, number(steps)?)
            }
            (None, Some((program, bank))) => Store::Program(Some(number(bank)?), number(program)?),
            (None, None) => Store::Program(None, number(words)?),
        },
    };
    // A unit that sends no bank is another one.
    Some(column.value(stored.clone())).filter(|value| *value != Value::Unknown && column.store(*value) == stored)
}

/// `foot 1 from step 32 to step 111 of 128`, the other way round.
fn moved(words: &str) -> Option<Store> {
    let (input, way) = words.strip_prefix("foot ")?.split_once(" from step ")?;
    let (heel, rest) = way.split_once(" to step ")?;
    let (toe, steps) = rest.split_once(" of ")?;
    let input = input.parse().ok().filter(|n| (1..=MOST_INPUTS).contains(&u32::from(*n)))?;
    Some(Store::Moved(Travel::new(input, None, heel.parse().ok()?, toe.parse().ok()?), steps.parse().ok()?))
}
