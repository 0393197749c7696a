//! What can be asked after: a pedal, how it is set, what goes out to it, the guitar in hand.

use super::device::{called, device, loosely, named};
use super::{Found, LITTLE, holds, part, words};
use crate::Compiled;
use crate::book::device::Contact;
use crate::book::{Amount, Book, Bound, Guitar, How, amount};
use crate::ids::{ControlId, DeviceId, Numbered, SceneId};
use crate::settle::why::column;

/// Something of a book. Devices, controls, states, guitars and scenes are indexes.
#[derive(Clone, PartialEq, Debug)]
pub enum Thing {
    /// A pedal, buffer or amp.
    Device(DeviceId),
    /// A control or level of a device, however it stands.
    Control(DeviceId, ControlId),
    /// A control in one of its states.
    State(DeviceId, ControlId, u16),
    /// A level under the foot.
    Foot(DeviceId, ControlId),
    /// A level held against an amount, and against the step that is stored for it.
    Level { device: DeviceId, control: ControlId, bound: Bound, amount: Amount, step: u16 },
    /// A loop, from 1.
    Loop(u16),
    /// A contact: open, closed, or closed and pulsing when neither is said.
    Contact(Contact, Option<bool>),
    /// An expression port, from 1.
    Port(u16),
    /// An output, from 1: on or off.
    Output(u16, bool),
    /// What goes out on a MIDI channel: any message, one program as the device counts it, one controller.
    Message { channel: u16, program: Option<u16>, controller: Option<u16> },
    /// A guitar.
    Guitar(usize),
    /// A tuning, in the book's words.
    Tuning(String),
    /// A scene.
    Scene(SceneId),
    /// A switch that works inside presets, by its place among them.
    Switch(u8),
    /// The order of the unit's loops.
    Order,
    /// A treadle, an index.
    Treadle(usize),
}

/// Why words mean nothing, or not one thing.
#[derive(Clone, PartialEq, Debug)]
pub enum Doubt {
    /// Nothing is called so.
    Nothing,
    /// Several things are.
    Several(Vec<String>),
    /// The level does not go there: its name, and its ends.
    Outside(String, Amount, Amount),
}

/// What some words mean.
pub fn thing(compiled: &Compiled, said: &str) -> Result<Thing, Doubt> {
    let (book, said) = (&compiled.book, said.trim());
    if let Some(thing) = hardware(book, said).filter(|thing| there(compiled, thing)) {
        return Ok(thing);
    }
    // A message or an act of the foot, as the table names it.
    let column = column(&compiled.table.cells, said).and_then(|c| compiled.table.cells.list.get(c));
    if let Some((d, c)) = column.and_then(|cell| cell.users.first()) {
        return Ok(Thing::Control(*d, *c));
    }
    let one = |found: Found<DeviceId>| match found {
        Found::One(d) => Some(Ok(Thing::Device(d))),
        Found::Several(several) => Some(Err(Doubt::Several(several.iter().map(|d| name(book, *d)).collect()))),
        Found::Nothing => None,
    };
    let scene = || part::scene(compiled, said).map(|scene| Ok(Thing::Scene(scene)));
    let treadle = || {
        let bare = words(said);
        let mut treadles = book.board.treadles.iter();
        treadles.position(|t| t.name == said || words(&t.name) == bare).map(|t| Ok(Thing::Treadle(t)))
    };
    let all = tokens(said);
    let telling: Vec<&str> = all.iter().copied().filter(|w| !LITTLE.contains(&w.to_lowercase().as_str())).collect();
    let tokens = [all, telling];
    let set = |least: usize| tokens.iter().find_map(|tokens| set(book, tokens, least));
    // Names go before words, and a pedal with its control before a pedal that has both words.
    let found =
        one(named(book, said)).or_else(scene).or_else(treadle).or_else(|| set(1)).or_else(|| one(loosely(book, said)));
    let found = found.or_else(|| guitar(book, said)).or_else(|| tuning(book, said)).or_else(|| set(0));
    // Of the unit's own, which keep no name from anything.
    let found = found.or_else(|| own(compiled, said).map(Ok));
    found.unwrap_or(Err(Doubt::Nothing))
}

/// `switch 6`, `switch-6` where it works inside presets; `order`, `loop-order`, `order of loops`.
fn own(compiled: &Compiled, said: &str) -> Option<Thing> {
    let lower = said.to_lowercase().replace('-', " ");
    match lower.split_whitespace().collect::<Vec<_>>().as_slice() {
        ["switch", name] => {
            let (first, count) = compiled.book.board.switcher.as_ref()?.inside?.switches?;
            let place = first.place(name).or_else(|| first.place(&name.to_uppercase())).filter(|n| *n < count)?;
            Some(Thing::Switch(place as u8))
        }
        ["order"] | ["loop", "order"] | ["order", "of", "loops"] => {
            compiled.table.cells.order_cell().map(|_| Thing::Order)
        }
        _ => None,
    }
}

/// A guitar by words of its name or of the text behind it.
fn guitar(book: &Book, said: &str) -> Option<Result<Thing, Doubt>> {
    let wanted = words(said);
    let guitars = book.board.guitars.iter().enumerate();
    let of =
        |(_, g): &(usize, &Guitar)| holds(&wanted, [Some(g.name.as_str()), g.title.as_deref()].into_iter().flatten());
    match Found::of(guitars.filter(of).map(|(at, _)| at)) {
        Found::One(guitar) => Some(Ok(Thing::Guitar(guitar))),
        Found::Several(several) => {
            let names = several.iter().filter_map(|g| Some(format!("`{}`", book.board.guitars.get(*g)?.name)));
            Some(Err(Doubt::Several(names.collect())))
        }
        Found::Nothing => None,
    }
}

/// A tuning. Written in two ways it is one tuning still.
fn tuning(book: &Book, said: &str) -> Option<Result<Thing, Doubt>> {
    let wanted = words(said);
    let songs = book.show.songs.iter();
    let tunings = songs.flat_map(|s| s.tuning.iter().chain(s.parts.iter().filter_map(|p| p.besides().tuning.as_ref())));
    tunings.filter(|t| words(t) == wanted).min().map(|tuning| Ok(Thing::Tuning(tuning.clone())))
}

/// Words apart, and what a point joins: `throb.depth` are two.
fn tokens(said: &str) -> Vec<&str> {
    let split = |word: &'_ str| word.starts_with(char::is_alphabetic) && word.contains('.');
    said.split_whitespace()
        .flat_map(|w| w.splitn(if split(w) { 2 } else { 1 }, '.'))
        .filter(|w| !w.is_empty())
        .collect()
}

/// `loop 5`, `remote 2 tip closed`, `expression-1`, `output 2 off`, `program 12 on midi 5`, `cc 20 on midi 6`.
fn hardware(book: &Book, said: &str) -> Option<Thing> {
    let lower = said.to_lowercase().replace(['-', ','], " ");
    let words: Vec<&str> = lower.split_whitespace().collect();
    let number = |word: &str| word.parse::<u16>().ok();
    match words.as_slice() {
        // As a table calls it: `annex-loop-2`.
        [name @ .., "loop", n] if !name.is_empty() => {
            hardware(book, &format!("loop {n} of {}", name.join(" "))).filter(|_| number(n).is_some())
        }
        ["loop", n, rest @ ..] => {
            let (n, board) = (number(n)?, &book.board);
            let n = match rest {
                // What the switcher itself lacks is no loop of a helper.
                [] if board.switcher.as_ref().is_some_and(|s| n > s.own_loops) => u16::MAX,
                [] => n,
                ["of", rest @ ..] => {
                    let name = rest.join("-");
                    let helper = board.helpers().find(|(_, d, _)| d.name.to_lowercase() == name)?.2;
                    if n >= 1 && n <= helper.loops { helper.first + n - 1 } else { u16::MAX }
                }
                _ => return None,
            };
            let held = book.board.loop_holds(n);
            Some(held.map_or(Thing::Loop(n), Thing::Device))
        }
        ["remote", jack, side @ ("tip" | "ring"), how @ ..] => {
            let closed = match how {
                [] => None,
                ["closed"] => Some(true),
                ["open"] => Some(false),
                _ => return None,
            };
            Some(Thing::Contact(Contact { jack: number(jack)?, ring: *side == "ring" }, closed))
        }
        ["expression", n] => Some(Thing::Port(number(n)?)),
        ["output", n] | ["output", n, "on"] => Some(Thing::Output(number(n)?, true)),
        ["output", n, "off"] => Some(Thing::Output(number(n)?, false)),
        _ => message(&words),
    }
}

/// The switcher has it.
fn there(compiled: &Compiled, thing: &Thing) -> bool {
    let (cells, switcher) = (&compiled.table.cells, compiled.book.board.switcher.as_ref());
    match thing {
        Thing::Loop(n) => cells.loop_cell(*n).is_some(),
        Thing::Contact(contact, _) => cells.contact_cell(contact.jack, contact.ring).is_some(),
        Thing::Output(n, _) => cells.output_cell(*n).is_some(),
        Thing::Port(n) => switcher.is_some_and(|s| (1..=s.ports).contains(n)),
        _ => true,
    }
}

/// The words may stand in any order: `midi 5 program 12`.
fn message(words: &[&str]) -> Option<Thing> {
    let (mut channel, mut program, mut controller) = (None, None, None);
    let mut rest = words.iter().filter(|w| !matches!(**w, "on" | "channel"));
    while let Some(word) = rest.next() {
        let slot = match *word {
            "midi" => &mut channel,
            "program" => &mut program,
            "cc" => &mut controller,
            _ => return None,
        };
        *slot = Some(rest.next()?.parse::<u16>().ok()?);
    }
    Some(Thing::Message { channel: channel?, program, controller })
}

/// A device by its first words, of which there are so many at least, and how it is set by the rest; or the rest alone where
/// only one device has it.
fn set(book: &Book, tokens: &[&str], least: usize) -> Option<Result<Thing, Doubt>> {
    let all = || book.board.devices.ids();
    for cut in (least..tokens.len()).rev() {
        let (owner, rest) = tokens.split_at(cut);
        let owners = match device(book, &owner.join(" ")) {
            _ if cut == 0 => all().collect(),
            Found::One(d) => vec![d],
            Found::Several(several) => several,
            Found::Nothing => continue,
        };
        let found: Vec<Result<Thing, Doubt>> = owners.into_iter().flat_map(|d| of_device(book, d, rest)).collect();
        match Found::of(found) {
            Found::One(thing) => return Some(thing),
            Found::Several(several) => {
                let says = several.iter().filter_map(|t| t.as_ref().ok()).map(|t| t.says(book)).collect();
                return Some(Err(Doubt::Several(says)));
            }
            Found::Nothing => {}
        }
    }
    None
}

fn of_device(book: &Book, d: DeviceId, rest: &[&str]) -> Vec<Result<Thing, Doubt>> {
    let controls = book.board.devices.get(d).map(|d| &d.controls);
    let named = |name: &str| rest.first().is_some_and(|w| w.to_lowercase() == name.to_lowercase());
    let mut found = Vec::new();
    for (control, c) in controls.into_iter().flat_map(Numbered::numbered) {
        let how = if named(&control.name) { rest.get(1..).unwrap_or(&[]) } else { rest };
        if how.is_empty() {
            return vec![Ok(Thing::Control(d, c))];
        }
        let one = match control.how.level() {
            Some(range) => level(book, (d, c), &control.how, range, how),
            None => {
                // `larch on lead`, `channel is lead`; a state may be called `on`.
                let word = how.last().filter(|_| how.iter().rev().skip(1).all(|w| matches!(*w, "on" | "is")));
                let state =
                    word.and_then(|w| control.states.iter().position(|s| s.name.to_lowercase() == w.to_lowercase()));
                state.map(|state| Ok(Thing::State(d, c, state as u16)))
            }
        };
        found.extend(one);
    }
    found
}

/// `above 30 %`, `at least 2 s`, `25 %`, `under the foot`.
fn level(
    book: &Book,
    (device, control): (DeviceId, ControlId),
    how: &How,
    (from, to): (Amount, Amount),
    words: &[&str],
) -> Option<Result<Thing, Doubt>> {
    let words: Vec<&str> = words.iter().copied().filter(|w| !matches!(*w, "is" | "the")).collect();
    let (bound, said) = match words.as_slice() {
        ["foot"] | ["under", "foot"] => return Some(Ok(Thing::Foot(device, control))),
        ["above", said @ ..] => (Bound::Above, said),
        ["below", said @ ..] => (Bound::Below, said),
        ["at", "least", said @ ..] => (Bound::Least, said),
        ["at", "most", said @ ..] => (Bound::Most, said),
        ["at", said @ ..] => (Bound::Exactly, said),
        said => (Bound::Exactly, said),
    };
    let said = said.join(" ");
    // A bare number is meant in the unit that the level is described in.
    let unit = amount::show(to);
    let unit = unit.split_once(' ').map_or("", |(_, unit)| unit);
    let amount = Amount::read(&said).or_else(|| Amount::read(&format!("{said} {unit}")))?;
    if amount.dimension != from.dimension {
        return None;
    }
    let steps = how.steps(book.board.switcher.as_ref().map_or(128, |s| s.steps));
    Some(match amount.step(from, to, steps) {
        Some(step) => Ok(Thing::Level { device, control, bound, amount, step }),
        None => Err(Doubt::Outside(Thing::Control(device, control).says(book), from, to)),
    })
}

fn name(book: &Book, device: DeviceId) -> String {
    book.board.devices.get(device).map_or("?".to_owned(), called)
}

impl Thing {
    /// `tide` (tapped tremolo), `larch` channel on `lead`, `tide` depth above 30 %, remote 2 tip closed.
    pub fn says(&self, book: &Book) -> String {
        let device = |d: DeviceId| book.board.devices.get(d);
        let set = |d: DeviceId, c: ControlId| {
            let control = device(d).and_then(|d| d.controls.get(c)).map_or("?", |c| c.name.as_str());
            format!("`{}` {control}", device(d).map_or("?", |d| d.name.as_str()))
        };
        match self {
            Thing::Device(d) => name(book, *d),
            Thing::Control(d, c) => set(*d, *c),
            Thing::State(d, c, s) => {
                let control = device(*d).and_then(|d| d.controls.get(*c));
                let state = control.and_then(|c| c.states.get(*s as usize)).map_or("?", |s| s.name.as_str());
                format!("{} on `{state}`", set(*d, *c))
            }
            Thing::Foot(d, c) => format!("{} under the foot", set(*d, *c)),
            Thing::Level { device, control, bound, amount, .. } => {
                let bound = match bound {
                    Bound::Least => "at least",
                    Bound::Most => "at most",
                    Bound::Above => "above",
                    Bound::Below => "below",
                    Bound::Exactly => "at",
                };
                format!("{} {bound} {}", set(*device, *control), amount::show(*amount))
            }
            Thing::Loop(n) => format!("loop {n}"),
            Thing::Contact(contact, how) => match how {
                Some(true) => format!("{} closed", contact.says()),
                Some(false) => format!("{} open", contact.says()),
                None => format!("{} closed or pulsing", contact.says()),
            },
            Thing::Port(n) => format!("expression {n}"),
            Thing::Output(n, on) => format!("output {n} {}", if *on { "on" } else { "off" }),
            Thing::Message { channel, program, controller } => {
                let program = program.map(|p| format!("program {p}"));
                let controller = controller.map(|c| format!("cc {c}"));
                let what: Vec<String> = program.into_iter().chain(controller).collect();
                let what = if what.is_empty() { "any message".to_owned() } else { what.join(" or ") };
                format!("{what} on midi {channel}")
            }
            Thing::Guitar(g) => format!("guitar `{}`", book.board.guitars.get(*g).map_or("?", |g| g.name.as_str())),
            Thing::Tuning(tuning) => format!("tuning \"{tuning}\""),
            Thing::Scene(s) => format!("scene `{}`", book.show.scene(*s).map_or("?", |s| s.name.as_str())),
            Thing::Switch(n) => format!("switch {} inside the preset", book.board.switches_named(1 << n)),
            Thing::Order => "loops in an order of their own".to_owned(),
            Thing::Treadle(t) => format!("treadle `{}`", book.board.treadles.get(*t).map_or("?", |t| t.name.as_str())),
        }
    }
}
