//! The player's sheet in large letters: all of it is read standing, on as many pages as that takes.

use super::reading::{heading, opening};
use super::{ActKind, Entry, Night, PartLine, Sheet, SongBlock, TRIED, WayOut};
use crate::print::doc::{Block, Chip, Doc, Look, Sizes, head};

/// One document a night; `size` is that of the letters, in points; `lines` rules what is left of a page.
pub fn docs(sheet: &Sheet, size: f32, lines: bool) -> Vec<Doc> {
    sheet.nights.iter().map(|night| doc(sheet, night, size, lines)).collect()
}

fn doc(sheet: &Sheet, night: &Night, size: f32, lines: bool) -> Doc {
    let mut top = vec![Chip { text: night.title.clone(), ..Chip::default() }];
    let mut foot = String::new();
    if let Some(reach) = sheet.reach() {
        foot = format!("trouble: press {reach}");
        top.push(Chip { key: reach, text: "safe".to_owned(), ..Chip::default() });
    }
    if !sheet.version.is_empty() {
        top.push(Chip { text: sheet.version.clone(), small: true, ..Chip::default() });
    }
    let mut blocks: Vec<Block> =
        sheet.tonight.iter().map(|says| Block::Notice(vec![format!("tonight: {says}")])).collect();
    // What a pause is for stands boxed with what its song needs: neither is any use without the other.
    let mut pauses: Vec<String> = Vec::new();
    for entry in &night.entries {
        match entry {
            Entry::Pause(says) => pauses.push(says.clone()),
            Entry::Encore => pauses.push("encore".to_owned()),
            Entry::Song(song) => blocks.push(Block::Together(song_of(song, std::mem::take(&mut pauses)))),
        }
    }
    if !pauses.is_empty() {
        blocks.push(Block::Together(vec![Block::Notice(pauses)]));
    }
    ways_out(sheet, night, &mut blocks);
    if night.resumes(&sheet.rows) {
        blocks.push(Block::Para(vec![(TRIED.to_owned(), Look::Plain)]));
    }
    let sizes = Sizes { text: size, heads: [size * 1.15; 3], table: size, small: 8.0 };
    let title = format!("{}: {}", heading(sheet), night.title);
    Doc {
        opening: opening(sheet, &title),
        narrow: true,
        title,
        top,
        foot,
        small: sheet.small.join(" · "),
        draft: sheet.draft,
        sizes,
        floor: true,
        lines,
        blocks,
        ..Doc::default()
    }
}

/// What to do first, boxed; then bank and title, then the switches; `lines` is what the pause before it is for.
fn song_of(song: &SongBlock, mut lines: Vec<String>) -> Vec<Block> {
    let mut blocks = Vec::new();
    if !song.changes.is_empty() {
        lines.push(song.changes.join(", "));
    }
    for (brief, parts) in acts(song) {
        // What holds for the whole song needs no list of parts.
        let whole = song.parts.len() == parts.len();
        lines.push(if whole { brief } else { format!("{brief}: {}", parts.join(", ")) });
    }
    if !lines.is_empty() {
        blocks.push(Block::Notice(lines));
    }
    let bank = song.parts.first().and_then(|p| p.at.as_ref()).map_or(String::new(), |(bank, _)| bank.clone());
    blocks.push(Block::Heading { level: 2, mark: bank.clone(), text: song.title.clone() });
    blocks.push(Block::Chips(switches(song, &bank)));
    for part in &song.parts {
        for note in part.acts.iter().filter(|a| a.kind == ActKind::Note) {
            blocks.push(Block::Para(vec![(format!("{}: {}", part.label, note.says), Look::Plain)]));
        }
    }
    blocks
}

/// What hands and feet do, each once, with the parts that it is for.
pub(super) fn acts(song: &SongBlock) -> Vec<(String, Vec<String>)> {
    let mut out: Vec<(ActKind, String, Vec<String>)> = Vec::new();
    for part in &song.parts {
        for act in part.acts.iter().filter(|a| a.kind != ActKind::Note) {
            match out.iter_mut().find(|(kind, brief, _)| *kind == act.kind && *brief == act.brief) {
                Some((_, _, parts)) => parts.push(part.label.clone()),
                None => out.push((act.kind, act.brief.clone(), vec![part.label.clone()])),
            }
        }
    }
    out.sort_by_key(|(kind, _, _)| *kind as u8);
    out.into_iter().map(|(_, brief, parts)| (brief, parts)).collect()
}

/// What is pressed, in playing order; the same twice in a row is pressed once. Once a part left the song's bank, each is told
/// with its bank: a number alone would be pressed in the bank where the player stands. What nobody presses stands in no box.
pub fn switches(song: &SongBlock, bank: &str) -> Vec<Chip> {
    let mut away = false;
    let mut chip = |part: &PartLine| {
        let chip = Chip { text: part.name(), held: part.held, ..Chip::default() };
        let Some((b, _)) = &part.at else { return Chip { key: "?".to_owned(), ..chip } };
        away |= b != bank;
        let (key, aside) = part.presses.says(away);
        Chip { key, aside, ..chip }
    };
    let mut chips: Vec<Chip> = Vec::new();
    let mut last: Option<(&str, bool, bool)> = None;
    for part in &song.parts {
        let this = (part.slot.as_str(), part.held, part.called);
        match chips.last_mut().filter(|_| last == Some(this)) {
            Some(chip) => chip.text += &format!(", {}", part.name()),
            None => chips.push(chip(part)),
        }
        last = Some(this);
    }
    chips
}

/// The ways out of the scenes that this night plays.
fn ways_out(sheet: &Sheet, night: &Night, blocks: &mut Vec<Block>) {
    let played =
        |way: &&WayOut| night.entries.iter().any(|e| matches!(e, Entry::Song(s) if s.parts.iter().any(|p| way.of(p))));
    let ways: Vec<Block> = sheet
        .trouble
        .iter()
        .filter(played)
        .map(|way| {
            Block::Para(vec![
                (format!("{} dead: ", way.device), Look::Strong),
                (format!("{} → ", way.lost.1.join(", ")), Look::Plain),
                (way.instead.1.clone(), Look::Strong),
            ])
        })
        .collect();
    if !ways.is_empty() {
        let mut inner = vec![head(2, "when something dies")];
        inner.extend(ways);
        blocks.push(Block::Together(inner));
    }
}
