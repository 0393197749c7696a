//! The gig sheet as a content model: what is on it, before anyone decides how it looks.

mod acts;
pub mod answers;
mod cells;
mod chain;
pub mod figures;
pub mod large;
mod night;
pub mod player;
mod presses;
mod program;
pub mod reading;
pub mod tech;
pub mod tempo;
mod text;
pub mod tonight;

pub(crate) use acts::hold;

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashSet;

use crate::Compiled;
use crate::book::{DeviceKind, Slot};
use crate::fill::Places;
use crate::ids::SceneId;
use crate::print::doc;
pub use crate::print::page::legible;
use crate::print::without::brief::{self, Brief};
use crate::settle::Row;
use crate::study::length::Length;
use crate::study::momentary::recovery;

pub use cells::{Column, Group, PresetRow, ShownCell, columns, head, presets, show, typed};
pub use night::{Held, Own, Playable, nights, playable, stands};
pub use presses::{Presses, Said, TRIED, again};
pub use program::{Step, Worksheet, worksheet};

/// What a sheet is called whose board has no name.
const UNNAMED: &str = "gig sheet";

/// What is asked for.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// One set by its title, matched without case or blanks; else all of them.
    pub set: Option<String>,
    /// The worksheet for programming the unit from empty.
    pub program: bool,
    /// Slots that the unit holds otherwise: songs that play one say so.
    pub stale: BTreeSet<Slot>,
    /// For each slot how it stands by the record of what is in the unit, in words.
    pub standing: BTreeMap<Slot, String>,
    /// What that record is called.
    pub record: Option<String>,
    /// The book has errors: every page says so.
    pub draft: bool,
    /// A date as it is to be printed.
    pub date: Option<String>,
}

/// A whole sheet.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// The board's title.
    pub board: String,
    /// The version word; empty when the book has none.
    pub version: String,
    /// Which book it is: board, version, what the sources come to, a date when one was given.
    pub small: Vec<String>,
    /// The book has errors.
    pub draft: bool,
    /// What a night's book changes; none for a book of every night.
    pub tonight: Option<String>,
    /// The same at length.
    pub changed: Vec<doc::Block>,
    /// The switch that is always right, and what it gives.
    pub safe: Option<(String, String)>,
    /// The switch that gives the same in every bank, where there is one.
    pub everywhere: Option<String>,
    /// The slots that the unit holds otherwise.
    pub stale: BTreeSet<Slot>,
    /// For each slot how it stands by the record of what is in the unit; empty where no record was asked for.
    pub standing: Vec<(String, String, String)>,
    /// What that record is called.
    pub record: Option<String>,
    /// What to play.
    pub nights: Vec<Night>,
    /// The table's columns.
    pub columns: Vec<Column>,
    /// The table's rows.
    pub presets: Vec<PresetRow>,
    /// The slots of two rows, as shown.
    pub rows: BTreeSet<String>,
    /// The presets have an order of loops each.
    pub ordered: bool,
    /// The labels of the loops.
    pub labels: Vec<LoopLabel>,
    /// The worksheet; none when it was not asked for.
    pub program: Option<Worksheet>,
    /// The first moves when something dies.
    pub trouble: Vec<WayOut>,
    /// Pedals whose own switch has to be on before anybody plays: those a foot reaches, and those that lie under.
    pub switched_on: [Vec<String>; 2],
    /// The scenes that let nothing out, each with its slots as the unit shows them.
    pub silent: Vec<(String, Vec<String>)>,
    /// The board has amplifiers.
    pub moves_amps: bool,
    /// What breaks, in a few words each.
    pub breaks: Vec<Brief>,
    /// What the player noted.
    pub answers: Vec<answers::Answer>,
}

/// One set, or tonight's order, or all songs.
#[derive(Clone, Debug, Default)]
pub struct Night {
    /// Its title.
    pub title: String,
    /// Songs and pauses, in order.
    pub entries: Vec<Entry>,
    /// How long it lasts.
    pub length: Length,
}

impl Night {
    /// It comes back from a break to a slot of two rows.
    pub fn resumes(&self, rows: &BTreeSet<String>) -> bool {
        let songs = || self.entries.iter().filter_map(|e| if let Entry::Song(song) = e { Some(song) } else { None });
        let mut own = songs().flat_map(|s| &s.parts).filter_map(|p| p.presses.own.as_ref());
        songs().count() > 1 && own.any(|(slot, _)| rows.contains(slot))
    }
}

/// A line of a night.
#[derive(Clone, Debug)]
pub enum Entry {
    /// A song.
    Song(SongBlock),
    /// A pause and what it is for.
    Pause(String),
    /// The encore begins.
    Encore,
}

/// A song as played.
#[derive(Clone, Debug, Default)]
pub struct SongBlock {
    /// Its place in the night, from 1.
    pub number: usize,
    /// Its title.
    pub title: String,
    /// `92 bpm`, when it has a tempo.
    pub tempo: Option<String>,
    /// The guitar's name.
    pub guitar: Option<String>,
    /// How it is tuned.
    pub tuning: Option<String>,
    /// What to see to before it: presets that the unit does not hold yet, a guitar, a tuning or a capo that the song before did
    /// not have: `reprogram 2A first`, `take slab`, `tune to drop D`, `capo 2`.
    pub changes: Vec<String>,
    /// Key, who counts in, length: `E minor`, `drums count in`, `4:10`.
    pub music: Vec<String>,
    /// Reminders for the whole song.
    pub notes: Vec<String>,
    /// Its parts.
    pub parts: Vec<PartLine>,
}

impl SongBlock {
    /// What stands beside its title: tempo, guitar, tuning, key, who counts in, length.
    pub fn facts(&self) -> impl Iterator<Item = &str> {
        let ready = [&self.tempo, &self.guitar, &self.tuning];
        ready.into_iter().flatten().chain(&self.music).map(String::as_str)
    }
}

/// A part as played.
#[derive(Clone, Debug, Default)]
pub struct PartLine {
    /// What the musician calls it.
    pub label: String,
    /// Where its scene is stored; `-` when it is in no slot, `?` when the scene is unknown.
    pub slot: String,
    /// The same without the switches that are pressed there.
    pub stored: String,
    /// What a foot presses to come there from the part before.
    pub presses: Presses,
    /// The name of the scene that is stored there.
    pub scene: String,
    /// The number of what it plays: that scene, or it with switches pressed.
    pub id: Option<SceneId>,
    /// Bank and switch as the unit shows them, when it is in a slot.
    pub at: Option<(String, String)>,
    /// How often it is played in a row.
    pub times: u32,
    /// It is called from outside: no foot presses.
    pub called: bool,
    /// A foot holds a level while it sounds.
    pub held: bool,
    /// What a hand or foot does, in order.
    pub acts: Vec<Act>,
}

impl PartLine {
    /// What it is called, and how often it is played: `chorus ×2`.
    pub fn name(&self) -> String {
        if self.times > 1 { format!("{} ×{}", self.label, self.times) } else { self.label.clone() }
    }
}

/// Something a hand or a foot does.
#[derive(Clone, PartialEq, Debug)]
pub struct Act {
    /// What kind.
    pub kind: ActKind,
    /// What to do, verb first.
    pub says: String,
    /// The same, as short as a dark stage asks.
    pub brief: String,
}

/// Who does it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ActKind {
    /// Nobody: the part is called from outside.
    Called,
    /// Another guitar is taken in hand, or it is tuned or its capo set otherwise.
    Change,
    /// A foot holds a level.
    Hold,
    /// A foot taps a tempo.
    Tap,
    /// A foot changes something on a pedal.
    Foot,
    /// A hand does something.
    Hand,
    /// A switch inside the preset does something as long as a foot stays on it: whoever plays decides when.
    Switch,
    /// What to listen or look for before it.
    Cue,
    /// Nobody has to do anything: a reminder.
    Note,
}

/// A loop and its label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LoopLabel {
    /// The loop, from 1; those of helpers behind the switcher's own.
    pub number: u16,
    /// The loop as it is called: `3`, `annex 2`.
    pub place: String,
    /// Three letters; empty for an empty loop.
    pub code: String,
    /// The pedal's name.
    pub name: String,
    /// The text behind the name.
    pub title: Option<String>,
}

/// What to press when a part dies.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct WayOut {
    /// The part.
    pub device: String,
    /// The scene that is lost, and those of its slots from which this is the nearest way.
    pub lost: (String, Vec<String>),
    /// The scene to play instead, and what to press for it.
    pub instead: (String, String),
}

/// Gathers all that a sheet may show.
pub fn sheet(compiled: &Compiled, wanted: &Wanted) -> Sheet {
    let book = &compiled.book;
    let said = |text: &Option<crate::book::Spanned<String>>| text.as_ref().map_or(String::new(), |t| t.value.clone());
    Sheet {
        board: said(&book.board.title),
        version: said(&book.board.version),
        small: small(compiled, wanted),
        draft: wanted.draft,
        tonight: crate::print::night::brief(compiled),
        changed: crate::print::night::section(compiled),
        safe: safe(compiled),
        everywhere: everywhere(compiled),
        stale: wanted.stale.clone(),
        standing: standing(compiled, &wanted.standing),
        record: wanted.record.clone(),
        nights: nights(compiled, wanted),
        columns: columns(compiled),
        presets: presets(compiled),
        rows: compiled
            .presets
            .iter()
            .filter_map(|p| p.slot.filter(|s| s.again))
            .map(|s| shown(compiled, Some(Slot::at(s.bank, s.switch))))
            .collect(),
        ordered: compiled.table.cells.order_cell().is_some(),
        labels: labels(compiled),
        program: wanted.program.then(|| worksheet(compiled)),
        trouble: trouble(compiled),
        switched_on: switched_on(compiled),
        silent: silent(compiled),
        moves_amps: book.board.devices.iter().any(|d| d.kind == DeviceKind::Amp),
        breaks: brief::list(compiled, wanted.set.as_deref()),
        answers: Vec::new(),
    }
}

/// Which book it is, and by which record of the unit it goes.
fn small(compiled: &Compiled, wanted: &Wanted) -> Vec<String> {
    let record = wanted.record.iter().map(|name| format!("unit by {name}"));
    doc::small(compiled, UNNAMED, wanted.date.as_deref()).into_iter().chain(record).collect()
}

/// Slot, scene, and how the slot stands.
fn standing(compiled: &Compiled, words: &BTreeMap<Slot, String>) -> Vec<(String, String, String)> {
    let of = |preset: &crate::fill::Preset| {
        let words = words.get(&preset.slot?)?;
        let scene = compiled.book.show.scene(preset.scene).map_or(String::new(), |s| s.name.to_string());
        Some((shown(compiled, preset.slot), scene, words.clone()))
    };
    compiled.presets.iter().filter_map(of).collect()
}

/// A slot as shown, `-` for none.
fn shown(compiled: &Compiled, slot: Option<Slot>) -> String {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    slot.zip(range).map_or_else(|| "-".to_owned(), |(slot, range)| range.show(slot))
}

/// A slot's bank and switch as shown.
fn at(compiled: &Compiled, slot: Option<Slot>) -> Option<(String, String)> {
    let (slot, range) = (slot?, compiled.book.board.switcher.as_ref().and_then(|s| s.slots)?);
    let bank = (range.first_bank + slot.bank).to_string();
    let shown = range.show(slot);
    let switch = shown.get(bank.len()..)?.trim_start_matches('.').to_owned();
    Some((bank, switch))
}

fn safe(compiled: &Compiled) -> Option<(String, String)> {
    let range = compiled.book.board.switcher.as_ref()?.slots?;
    let slot = compiled.book.show.safe.as_ref()?.value;
    let stored = compiled.presets.iter().find(|p| p.slot == Some(slot));
    let scene = stored.and_then(|p| compiled.book.show.scene(p.scene)).map_or(String::new(), |s| s.name.to_string());
    Some((range.show(slot), scene))
}

impl Sheet {
    /// What to press in trouble, from wherever the player stands: `switch 5`, or `1.5`.
    pub fn reach(&self) -> Option<String> {
        match &self.everywhere {
            Some(switch) => Some(format!("switch {switch}")),
            None => self.safe.as_ref().map(|(slot, _)| slot.clone()),
        }
    }
}

/// The safe switch, when it gives the same scene in every bank of the unit.
fn everywhere(compiled: &Compiled) -> Option<String> {
    let safe = compiled.book.show.safe.as_ref()?.value;
    let scene = compiled.presets.iter().find(|p| p.slot == Some(safe))?.scene;
    let slots = compiled.presets.iter().filter(|p| p.scene == scene).filter_map(|p| p.slot);
    let stored: Vec<Slot> = slots.filter(|slot| slot.again == safe.again).collect();
    in_every_bank(compiled, safe, &stored)
}

/// A slot's switch, when these slots are those of that switch in every bank of the unit, and maybe more.
fn in_every_bank(compiled: &Compiled, slot: Slot, stored: &[Slot]) -> Option<String> {
    let range = compiled.book.board.switcher.as_ref()?.slots?;
    let banks: FxHashSet<u32> = stored.iter().filter(|s| s.switch == slot.switch).map(|s| s.bank).collect();
    (banks.len() == range.banks as usize).then(|| at(compiled, Some(slot)).map(|(_, switch)| switch)).flatten()
}

fn labels(compiled: &Compiled) -> Vec<LoopLabel> {
    let loops = compiled.book.board.switcher.as_ref().map_or(0, |s| s.loops);
    let place = |number| compiled.book.board.loop_short(number);
    let label = |number| match compiled.book.board.in_loop(number) {
        Some(d) => {
            LoopLabel { number, place: place(number), code: d.label(), name: d.name.clone(), title: d.title.clone() }
        }
        None => LoopLabel { number, place: place(number), code: String::new(), name: String::new(), title: None },
    };
    (1..=loops).map(label).collect()
}

fn switched_on(compiled: &Compiled) -> [Vec<String>; 2] {
    let (mut top, mut under) = (Vec::new(), Vec::new());
    for (_, device) in recovery::to_be_on(&compiled.book, &compiled.table) {
        if device.under() { &mut under } else { &mut top }.push(device.name.clone());
    }
    [top, under]
}

/// Where to press for silence: what mutes stands in no song as a rule, and so on no line of one.
fn silent(compiled: &Compiled) -> Vec<(String, Vec<String>)> {
    let (book, table) = (&compiled.book, &compiled.table);
    let mut scenes: BTreeMap<&str, Vec<Slot>> = BTreeMap::new();
    for preset in compiled.presets.iter().filter(|p| Row::of(book, table, p.scene).muted()) {
        let name = book.show.scene(preset.scene).map_or("", |s| s.name.as_str());
        preset.slot.into_iter().for_each(|slot| scenes.entry(name).or_default().push(slot));
    }
    let press = |(name, slots): (&str, Vec<Slot>)| {
        let first = slots.first().filter(|slot| slots.len() > 1 && slots.iter().all(|other| other.again == slot.again));
        let switch = first.filter(|slot| !slot.again).and_then(|slot| in_every_bank(compiled, *slot, &slots));
        let each = || slots.iter().map(|slot| presses::to(compiled, None, Some(*slot))).collect();
        (name.to_owned(), switch.map_or_else(each, |switch| vec![format!("switch {switch}")]))
    };
    scenes.into_iter().map(press).collect()
}

/// The ways out that the book says, from every slot of the scene that is lost: a line for each slot that is pressed instead.
fn trouble(compiled: &Compiled) -> Vec<WayOut> {
    let places = Places::of(&compiled.book, &compiled.presets);
    let name = |id: SceneId| compiled.book.show.scene(id).map_or(String::new(), |s| s.name.to_string());
    let mut ways: Vec<WayOut> = Vec::new();
    for fallback in &compiled.book.show.fallbacks {
        let (Some(device), Some(scene), Some(becomes)) = (fallback.device, fallback.scene, fallback.becomes) else {
            continue;
        };
        let Some(device) = compiled.book.board.devices.get(device) else { continue };
        let mut slots: Vec<Option<Slot>> = places.all(scene).iter().map(|(_, slot)| Some(*slot)).collect();
        slots.extend(slots.is_empty().then_some(None));
        let from = ways.len();
        for slot in slots {
            let to = places.nearest(slot, becomes).map(|(to, _)| to);
            let instead = (name(becomes), presses::to(compiled, slot, to));
            let slot = shown(compiled, slot);
            match ways.iter_mut().skip(from).find(|way| way.instead == instead) {
                Some(way) => way.lost.1.push(slot),
                None => ways.push(WayOut { device: device.name.clone(), lost: (name(scene), vec![slot]), instead }),
            }
        }
    }
    ways.sort_by(|a, b| (&a.device, &a.lost).cmp(&(&b.device, &b.lost)));
    ways
}

impl WayOut {
    /// A part that it is the way out of.
    pub fn of(&self, part: &PartLine) -> bool {
        part.scene == self.lost.0 && self.lost.1.contains(&part.stored)
    }
}
