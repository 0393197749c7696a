//! The stage page: one offline page for a phone or a tablet. Here stands what it shows and takes; the script plays it.

use maud::{Markup, html as markup};
use serde::{Serialize, Serializer};

use super::doc::text;
use super::screen;
use super::sheet::{Act, ActKind, Entry, Night, PartLine, Playable, Sheet, SongBlock, WayOut};
use super::sheet::{TRIED, again, large, playable, reading, stands};
use super::without::{CAUTION, brief::Brief};
use crate::Compiled;
use crate::book::Slot;
use crate::book::song::Repeat;
use crate::written::switch::names;

const STYLE: &str = include_str!("stage.css");
const SCRIPT: &str = include_str!("stage.js");

/// All that the page knows.
#[derive(Serialize)]
pub struct Show {
    /// The board's title: what is kept on the device is kept under it.
    pub book: String,
    /// Version and fingerprint, as notes name them.
    pub version: String,
    draft: bool,
    /// What is tonight's alone; none for a book of every night.
    tonight: Option<String>,
    /// What to press in trouble.
    pub safe: Option<String>,
    /// Bank and switch at which the player starts, from 0.
    wakes: Option<(u32, u32)>,
    /// Presses for a switch of the bank where one stands, and for a bank; none where nobody said.
    presses: Option<(u32, u32)>,
    /// The names of the switches that work inside a preset.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    switches: Vec<String>,
    /// The slots whose switch, pressed again, calls another scene.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    rows: Vec<(u32, u32)>,
    /// What who tries such a switch in a break has to know.
    #[serde(skip_serializing_if = "Option::is_none")]
    tried: Option<&'static str>,
    /// Those of them with pulses in one of their rows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pulses: Vec<(u32, u32)>,
    /// The slots that the unit holds otherwise, as shown.
    stale: Vec<String>,
    /// The board has amplifiers: who moves one is cautioned.
    #[serde(skip)]
    moves_amps: bool,
    /// What breaks, in a few words each.
    #[serde(skip)]
    breaks: Vec<Brief>,
    /// All songs of the book, by title.
    pub songs: Vec<Song>,
    pub sets: Vec<Set>,
}

/// An order of songs.
#[derive(Serialize)]
pub struct Set {
    pub title: String,
    /// It is tonight's list, not the book's.
    listed: bool,
    items: Vec<Item>,
    /// The same, told for who has no script: as the player's sheet has it.
    #[serde(skip)]
    lines: Vec<String>,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Item {
    /// An index of the songs.
    Song(usize),
    Pause(String),
    /// Nothing.
    Encore,
}

/// A song, wherever in a night it is played.
#[derive(Serialize)]
pub struct Song {
    pub title: String,
    /// Beats a minute: as said, and as a number.
    tempo: Option<String>,
    bpm: Option<f64>,
    guitar: Option<String>,
    tuning: Option<String>,
    capo: Option<u32>,
    /// Key, who counts in, length.
    music: Vec<String>,
    notes: Vec<String>,
    /// Why it cannot be added to a night.
    why: Option<String>,
    pub parts: Vec<Part>,
}

/// A slot as shown; its row and the switches pressed there, a bit each, stand behind that where there are any.
pub struct Stored(Slot, String);

impl Serialize for Stored {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let Stored(slot, shown) = self;
        match (slot.again, slot.pressed) {
            (false, 0) => (slot.bank, slot.switch, shown).serialize(to),
            (again, pressed) => (slot.bank, slot.switch, shown, u8::from(again), pressed).serialize(to),
        }
    }
}

/// The guitar in hand, how it is tuned, its capo.
#[derive(Serialize)]
struct Held {
    guitar: Option<String>,
    tuning: Option<String>,
    capo: Option<u32>,
}

#[derive(Serialize)]
pub struct Part {
    pub label: String,
    /// The same, with how often it is played.
    pub name: String,
    scene: String,
    held: bool,
    /// It is called from outside: no foot presses.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    called: bool,
    acts: Vec<(&'static str, String)>,
    /// The slots that hold its scene, in order: bank, switch, as shown.
    slots: Vec<Stored>,
    /// What stands where there is no slot.
    none: String,
    /// What hands hold in it, where that is not the song's.
    #[serde(skip_serializing_if = "Option::is_none")]
    hands: Option<Held>,
}

/// What the page of these nights knows; `listed` when they are tonight's list.
pub fn show(compiled: &Compiled, sheet: &Sheet, listed: bool) -> Show {
    let board = &compiled.book.board;
    let songs = playable(compiled);
    let at = |title: &str| songs.iter().position(|s| s.song.title == title);
    let set = |night: &Night| Set {
        title: night.title.clone(),
        listed,
        items: night
            .entries
            .iter()
            .filter_map(|entry| match entry {
                Entry::Song(song) => at(&song.title).map(Item::Song),
                Entry::Pause(says) => Some(Item::Pause(says.clone())),
                Entry::Encore => Some(Item::Encore),
            })
            .collect(),
        lines: night.entries.iter().map(line).collect(),
    };
    let pair = |slot: Slot| (slot.bank, slot.switch);
    let second = || compiled.presets.iter().filter_map(|p| p.slot.filter(|slot| slot.again));
    let fingerprint = sheet.small.iter().find_map(|s| s.strip_prefix("source ")).unwrap_or_default();
    Show {
        book: reading::heading(sheet),
        version: format!("{} {fingerprint}", sheet.version).trim().to_owned(),
        draft: sheet.draft,
        tonight: sheet.tonight.clone(),
        safe: sheet.reach(),
        wakes: stands(compiled).map(pair),
        presses: board.timing.presses.map(|p| (p.same_bank, p.bank_step)),
        switches: names(&compiled.book.board),
        rows: second().map(pair).collect(),
        tried: (!sheet.rows.is_empty()).then_some(TRIED),
        pulses: second().filter(|slot| again(compiled, *slot) == Repeat::Pulses).map(pair).collect(),
        stale: sheet.stale.iter().filter_map(|slot| Some(board.switcher.as_ref()?.slots?.show(*slot))).collect(),
        moves_amps: sheet.moves_amps,
        breaks: sheet.breaks.iter().filter(|b| !b.tech).cloned().collect(),
        sets: sheet.nights.iter().map(set).collect(),
        songs: songs.iter().map(|s| song(compiled, sheet, s)).collect(),
    }
}

fn song(compiled: &Compiled, sheet: &Sheet, playable: &Playable) -> Song {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let song = &playable.song;
    let own = playable.held.iter().cloned().map(|own| own.map(|(guitar, tuning, capo)| Held { guitar, tuning, capo }));
    let parts = song.parts.iter().zip(&playable.slots).zip(own).map(|((part, slots), own)| Part {
        label: part.label.clone(),
        name: part.name(),
        scene: part.scene.clone(),
        held: part.held,
        called: part.called,
        acts: part.acts.iter().map(act).chain(ways_out(sheet, part)).collect(),
        slots: slots.iter().filter_map(|slot| Some(Stored(*slot, range?.show(*slot)))).collect(),
        none: if part.id.is_none() { "?" } else { "-" }.to_owned(),
        hands: own,
    });
    let parts: Vec<Part> = parts.collect();
    let lost = range.and_then(|_| parts.iter().find(|p| p.slots.is_empty()));
    let why = lost.map(|part| match part.none.as_str() {
        "?" => format!("what `{}` plays is not known", part.label),
        _ => format!("`{}`, its {}, stands in no slot", part.scene, part.label),
    });
    Song {
        title: song.title.clone(),
        tempo: song.tempo.clone(),
        bpm: playable.tempo,
        guitar: song.guitar.clone(),
        tuning: song.tuning.clone(),
        capo: playable.capo,
        music: song.music.clone(),
        notes: song.notes.clone(),
        why,
        parts,
    }
}

/// A line of a night, as the player's sheet has it.
fn line(entry: &Entry) -> String {
    match entry {
        Entry::Encore => "encore".to_owned(),
        Entry::Pause(says) => format!("pause: {says}"),
        Entry::Song(song) => song_line(song),
    }
}

/// `Quay, bank 1: [1] verse  [1, 1 again] solo`.
fn song_line(song: &SongBlock) -> String {
    let bank = song.parts.first().and_then(|p| p.at.as_ref()).map_or("", |(bank, _)| bank);
    let chips: Vec<String> = large::switches(song, bank).iter().map(text::chip).collect();
    let bank = if bank.is_empty() { String::new() } else { format!(", bank {bank}") };
    let end = if chips.is_empty() { "" } else { ": " };
    format!("{}{bank}{end}{}", song.title, chips.join(" "))
}

fn act(act: &Act) -> (&'static str, String) {
    match act.kind {
        ActKind::Hold | ActKind::Tap | ActKind::Foot => ("foot", act.brief.clone()),
        ActKind::Hand | ActKind::Change => ("hand", act.brief.clone()),
        ActKind::Switch | ActKind::Cue | ActKind::Called | ActKind::Note => ("note", act.says.clone()),
    }
}

/// What to press when a part of this scene dies.
fn ways_out(sheet: &Sheet, part: &PartLine) -> Vec<(&'static str, String)> {
    // The part may be played from any slot of its scene.
    let ways = sheet.trouble.iter().filter(|way| way.lost.0 == part.scene);
    let several =
        |way: &WayOut| ways.clone().filter(|w| w.device == way.device && w.instead.0 == way.instead.0).count() > 1;
    let says = |way: &WayOut| {
        let from = if several(way) { format!(" at {}", way.lost.1.join(", ")) } else { String::new() };
        format!("if {} is dead{from}: {} {}", way.device, way.instead.1, way.instead.0)
    };
    ways.clone().map(|way| ("out", says(way))).collect()
}

/// The whole page.
pub fn write(show: &Show) -> String {
    let motion = markup! { button #motion type="button" aria-pressed="true" { "beat" } };
    let body = markup! {
        (now(show))
        (foot(show))
        (order())
        (screen::look(&motion, &markup! { p #measure {} }))
        (notes())
        (breaks(show))
        (paper(show))
    };
    screen::page(&format!("{}, stage", show.book), STYLE, &body, show, SCRIPT)
}

/// What is played.
fn now(show: &Show) -> Markup {
    markup! {
        header {
            @if let Some(says) = &show.tonight { p #tonight { "tonight: " (says) } }
            @if show.draft { p.draft role="alert" { "DRAFT: the book has errors" } }
            div.line { p #count {} p #facts {} button type="button" data-open="order" { "songs" } button type="button" data-open="look" { "look" } @if !show.breaks.is_empty() { button type="button" data-open="breaks" { "broken" } } p.tempo { span #tempo {} " " span #beat aria-hidden="true" {} } }
        }
        main #now tabindex="-1" {
            noscript { p { "This page steps through the night with a script; the list below needs none." } }
            h1 #song {}
            div.big {
                p.slot #slot {}
                p.part { span #part {} " " svg #held viewBox="0 0 66 62" role="img" aria-label="treadle" { polygon points="0,62 66,62 66,0 0,42" {} } }
            }
            ul #acts aria-label="hands and feet" {}
            ol #parts aria-label="parts of this song" {}
        }
    }
}

/// What comes next, and what is touched.
fn foot(show: &Show) -> Markup {
    markup! {
        footer {
            div.then { p #next {} p #after {} p #change {} }
            nav aria-label="steps" {
                button #back type="button" { "back" }
                @if let Some(safe) = &show.safe { p.safe { b { (safe) } " safe" } }
                button #on type="button" { "next" }
            }
            div.answers role="group" aria-label="note on this part" {
                @for says in ["too loud", "too quiet", "wrong sound", "late"] { button.answer type="button" { (says) } }
                button type="button" data-open="notes" { "words" span #many {} }
            }
            p #said role="status" {}
        }
    }
}

/// Tonight's order, changed by touch.
fn order() -> Markup {
    markup! {
        dialog #order aria-labelledby="order-head" {
            div.row { h2 #order-head { "songs tonight" } button type="button" data-shut { "done" } }
            p { label for="night" { "set " } select #night {} }
            p #changed hidden { span #how {} " " button #undo type="button" { "undo" } " " button #book type="button" { "the book's order" } }
            ol #list {}
            p { button #encore type="button" { "add encore" } }
            h3 { "add a song" }
            ul #all {}
            h3 { "the order as text" }
            p { label for="text" { "for " code { "sheet --songs" } } }
            textarea #text readonly rows="6" {}
            (screen::give("text"))
        }
    }
}

fn notes() -> Markup {
    markup! {
        dialog #notes aria-labelledby="notes-head" {
            div.row { h2 #notes-head { "notes" } button type="button" data-shut { "done" } }
            form #write { p { label for="words" { "on " span #where {} } } p.wide { input #words autocomplete="off" maxlength="200"; button { "keep" } } }
            ul #kept {}
            h3 { "the notes as text" }
            p { label for="noted" { "for " code { "sheet --for tech --notes" } } }
            textarea #noted readonly rows="6" {}
            (screen::give("noted"))
        }
    }
}

/// What to do by hand when something dies.
fn breaks(show: &Show) -> Markup {
    markup! {
        dialog #breaks aria-labelledby="breaks-head" {
            div.row { h2 #breaks-head { "if it breaks" } button type="button" data-shut { "done" } }
            @if show.moves_amps { p { (CAUTION) } }
            ul { @for one in &show.breaks { li { b { (one.part) } " " (one.says) } } }
        }
    }
}

/// Without a script, and on paper: the nights as lists.
fn paper(show: &Show) -> Markup {
    markup! {
        section.paper aria-label="the nights as lists" {
            @for set in &show.sets {
                h2 { (set.title) }
                ol { @for line in &set.lines { li { (line) } } }
            }
        }
        noscript { style { ".paper { display: block }" } }
    }
}
