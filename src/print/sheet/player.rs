//! The player's sheet: one sheet of paper for the floor. Its front is read standing, its back close.

use super::large::{acts, switches};
use super::reading::{breaks, heading, opening, silence, switched_on};
use super::{ActKind, Entry, Night, PartLine, Sheet, SongBlock, TRIED, WayOut};
use crate::print::doc::{Block, Cell, Doc, Look, Row, Sides, Table, head};

/// How it is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Wish {
    /// How many sides: on one alone, all is read close.
    pub sides: usize,
    /// From where it is to be read, in metres, if somebody said so, and the least angle in minutes of arc.
    pub distance: Option<f32>,
    pub minutes: f32,
    /// Lines to write on.
    pub lines: bool,
}

/// How many ruled lines there are for a pen.
const LINES: usize = 4;

/// One document a night.
pub fn docs(sheet: &Sheet, wish: Wish) -> Vec<Doc> {
    sheet.nights.iter().map(|night| doc(sheet, night, wish)).collect()
}

/// What has to be on before anybody plays, and what breaks: a page of its own, for the lid of the case.
pub fn lid(sheet: &Sheet) -> Option<Doc> {
    let title = format!("{}: if it breaks", heading(sheet));
    let blocks: Vec<Block> = switched_on(sheet).into_iter().chain(silence(sheet)).chain(breaks(sheet, false)).collect();
    let kept = !sheet.nights.is_empty() && !blocks.is_empty();
    kept.then(|| Doc {
        opening: opening(sheet, &title),
        narrow: true,
        title,
        foot: sheet.reach().map_or(String::new(), |reach| format!("trouble: press {reach}")),
        small: sheet.small.join(" · "),
        draft: sheet.draft,
        blocks,
        ..Doc::default()
    })
}

fn doc(sheet: &Sheet, night: &Night, wish: Wish) -> Doc {
    let safe = sheet.reach();
    let front = rows(night);
    let mut blocks = vec![Block::Table(table(&front))];
    let from = blocks.len();
    // What a pause is for stands boxed with its song: neither is any use without the other.
    let mut pauses: Vec<String> = Vec::new();
    for entry in &night.entries {
        match entry {
            Entry::Pause(says) => pauses.push(says.clone()),
            Entry::Encore => pauses.push("encore".to_owned()),
            Entry::Song(song) => {
                blocks.push(Block::Together(song_of(sheet, song, std::mem::take(&mut pauses))));
            }
        }
    }
    if !pauses.is_empty() {
        blocks.push(Block::Together(vec![Block::Notice(pauses)]));
    }
    if let Some(says) = &sheet.tonight {
        blocks.insert(from, Block::Together(vec![Block::Notice(vec![format!("tonight: {says}")])]));
    }
    let songs = || night.entries.iter().filter_map(|e| if let Entry::Song(song) = e { Some(song) } else { None });
    if songs().flat_map(|s| &s.parts).flat_map(|p| &p.acts).any(|a| a.kind == ActKind::Tap) {
        let says = "tap: the foot taps the beat, the pedal plays the notes that are named";
        blocks.push(Block::Together(vec![Block::Para(vec![(says.to_owned(), Look::Plain)])]));
    }
    if night.resumes(&sheet.rows) {
        blocks.push(Block::Together(vec![Block::Para(vec![(TRIED.to_owned(), Look::Plain)])]));
    }
    if wish.lines {
        blocks.push(Block::Together(vec![head(2, "remarks"), Block::Pen(LINES)]));
    }
    let title = format!("{}: {}", heading(sheet), night.title);
    let front = if wish.sides > 1 { front } else { Vec::new() };
    let foot = safe.as_ref().map_or(String::new(), |reach| format!("trouble: press {reach}"));
    let (count, name) = (wish.sides, night.title.clone());
    let sides = Sides { count, name, safe, front, from, asked: wish.distance, minutes: wish.minutes };
    Doc {
        opening: opening(sheet, &title),
        narrow: true,
        title,
        foot,
        small: sheet.small.join(" · "),
        draft: sheet.draft,
        sides: Some(sides),
        blocks,
        ..Doc::default()
    }
}

/// The lines of the front; where the encore begins stands with what is done before its first song.
fn rows(night: &Night) -> Vec<Row> {
    let mut encore = false;
    let mut row = |entry: &Entry| match entry {
        Entry::Pause(_) => Row::Pause,
        Entry::Encore => {
            encore = true;
            Row::Pause
        }
        Entry::Song(song) => {
            let before = std::mem::take(&mut encore).then(|| "encore".to_owned());
            Row::Song {
                number: song.number,
                title: song.title.clone(),
                tempo: song.tempo.as_deref().map_or("", |t| t.trim_end_matches(" bpm")).to_owned(),
                bank: bank(song).to_owned(),
                change: before.iter().chain(&song.changes).cloned().collect::<Vec<_>>().join(", "),
            }
        }
    };
    night.entries.iter().map(&mut row).collect()
}

/// The bank of a song's first part.
fn bank(song: &SongBlock) -> &str {
    song.parts.first().and_then(|p| p.at.as_ref()).map_or("", |(bank, _)| bank)
}

/// The front where nobody measures letters.
fn table(rows: &[Row]) -> Table {
    let rows = rows.iter().filter_map(|row| match row {
        Row::Song { number, title, tempo, bank, change } => Some(vec![
            Cell::new(number.to_string(), Look::Plain),
            Cell::new(title, Look::Strong),
            Cell::new(change, Look::Plain),
            Cell::new(tempo, Look::Plain),
            Cell::new(bank, Look::Strong),
        ]),
        Row::Pause => None,
    });
    Table::new("songs", &["", "song", "before it", "bpm", "bank"], 1, &[1, 2], rows.collect())
}

/// Its bank and title, its facts, its switches, and under them what hands and feet do, what to keep in mind, and the way
/// out where a part can fail; before them what the pause is for.
fn song_of(sheet: &Sheet, song: &SongBlock, pauses: Vec<String>) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !pauses.is_empty() {
        blocks.push(Block::Notice(pauses));
    }
    let bank = bank(song);
    let mark = if bank.is_empty() { String::new() } else { format!("bank {bank}") };
    blocks.push(Block::Heading { level: 2, mark, text: format!("{}. {}", song.number, song.title) });
    let facts: Vec<String> = song.tempo.iter().chain(&song.changes).chain(&song.music).cloned().collect();
    if !facts.is_empty() {
        blocks.push(Block::Para(vec![(facts.join(" · "), Look::Plain)]));
    }
    if !song.parts.is_empty() {
        blocks.push(Block::Chips(switches(song, bank)));
    }
    let line = |parts: &[String], says: &str| {
        let mut words = Vec::new();
        // What holds for the whole song needs no list of parts.
        if parts.len() < song.parts.len() {
            words.push((format!("{} ", parts.join(", ")), Look::Strong));
        }
        words.push((says.to_owned(), Look::Plain));
        Block::Para(words)
    };
    blocks.extend(song.notes.iter().map(|note| Block::Para(vec![(note.clone(), Look::Plain)])));
    blocks.extend(acts(song).iter().map(|(says, parts)| line(parts, says)));
    for part in &song.parts {
        let notes = part.acts.iter().filter(|a| a.kind == ActKind::Note);
        blocks.extend(notes.map(|note| line(std::slice::from_ref(&part.label), &note.says)));
    }
    blocks.extend(ways_out(sheet, song).iter().map(|(way, parts)| line(parts, &out(way))));
    blocks
}

/// `hasp dead: 8.4 ridge`.
fn out(way: &WayOut) -> String {
    format!("if {} is dead: {} {}", way.device, way.instead.1, way.instead.0)
}

/// The ways out of a song's scenes, each with its parts.
fn ways_out<'s>(sheet: &'s Sheet, song: &SongBlock) -> Vec<(&'s WayOut, Vec<String>)> {
    let of = |way: &WayOut| {
        let lost = |part: &&PartLine| way.of(part);
        song.parts.iter().filter(lost).map(|p| p.label.clone()).collect::<Vec<_>>()
    };
    sheet.trouble.iter().map(|way| (way, of(way))).filter(|(_, parts)| !parts.is_empty()).collect()
}
