//! The sheet for the table: songs, presets, labels, the worksheet; at the size of a book.

use super::{Act, ActKind, Entry, Group, Night, Sheet, SongBlock, UNNAMED, text};
use crate::print::doc::text::wrap;
use crate::print::doc::{Block, Cell, DRAFT, Doc, Item, List, Look, Table, head, para};
use crate::print::without::{CAUTION, brief::Brief};
use crate::written::cell::ORDER;

/// The whole sheet.
pub fn doc(sheet: &Sheet) -> Doc {
    let title = heading(sheet);
    let mut blocks = Vec::new();
    if let Some((slot, scene)) = &sheet.safe {
        blocks.push(safe(slot, scene));
    }
    blocks.extend(sheet.changed.iter().cloned());
    sheet.nights.iter().for_each(|night| night_of(night, &mut blocks));
    blocks.extend(switched_on(sheet));
    blocks.extend(silence(sheet));
    trouble(sheet, &mut blocks);
    blocks.extend(breaks(sheet, true));
    if !sheet.presets.is_empty() {
        blocks.extend([head(2, "presets"), legend(sheet, false), Block::Table(table(sheet, &sheet.presets))]);
        blocks.extend(inside(&sheet.presets));
    }
    memory(sheet, &mut blocks);
    if !sheet.labels.is_empty() {
        let mut inner = Vec::new();
        labels(sheet, &mut inner);
        blocks.push(Block::Told(text::labels(&sheet.labels), inner));
    }
    program(sheet, &mut blocks);
    let small = sheet.small.join(" · ");
    Doc { opening: opening(sheet, &title), narrow: true, title, small, draft: sheet.draft, blocks, ..Doc::default() }
}

/// The switch that is always right, boxed.
pub fn safe(slot: &str, scene: &str) -> Block {
    let says = |gap: &str| format!("always right to press: {slot}{gap}{scene}");
    Block::Told(says("  ") + "\n", vec![Block::Notice(vec![says(" ")])])
}

/// The title of a sheet: the board's.
pub fn heading(sheet: &Sheet) -> String {
    if sheet.board.is_empty() { UNNAMED.to_owned() } else { sheet.board.clone() }
}

/// How a sheet begins in plain text.
pub fn opening(sheet: &Sheet, title: &str) -> String {
    let draft = if sheet.draft { format!("{DRAFT}\n\n") } else { String::new() };
    let rest: String = sheet.small.iter().skip(1).map(|fact| format!("  ·  {fact}")).collect();
    format!("{draft}{title}{rest}\n")
}

/// How each slot stands by the record of what is in the unit.
pub fn memory(sheet: &Sheet, blocks: &mut Vec<Block>) {
    if sheet.standing.is_empty() {
        return;
    }
    let rows = sheet.standing.iter().map(|(slot, scene, words)| {
        let look = if words.starts_with("programmed") { Look::Plain } else { Look::Strong };
        vec![Cell::new(slot, Look::Strong), Cell::new(scene, Look::Plain), Cell::new(words, look)]
    });
    let table = Table::new("slots by the record", &["slot", "scene", "in the unit"], 2, &[2], rows.collect());
    let record = sheet.record.as_ref().map_or_else(|| "the record".to_owned(), |name| format!("the record {name}"));
    let says = format!(
        "By {record} of what was put there and read there. Stale: the unit holds something else, or nobody knows all that it \
         holds. Never: nothing was recorded."
    );
    blocks.extend([head(2, "in the unit, by the record"), para(says), Block::Table(table)]);
}

/// The worksheet for programming the unit from empty, on a page of its own.
pub fn program(sheet: &Sheet, blocks: &mut Vec<Block>) {
    let Some(worksheet) = &sheet.program else { return };
    let says = "Tick once when a slot is set, and once when it has been read back from the unit and found right.";
    let row = |slot: &str, name: &str, set: &str| {
        let words = [Cell::new(slot, Look::Strong), Cell::new(name, Look::Plain), Cell::new(set, Look::Plain)];
        words.into_iter().chain([Cell::tick(), Cell::tick(), Cell::default()]).collect::<Vec<_>>()
    };
    let rows = worksheet.steps.iter().flat_map(|step| {
        let copy = step.copy.iter().map(|copy| row("", &step.name, copy));
        [row(&step.slot, &step.name, &step.set.join("; "))].into_iter().chain(copy)
    });
    let heads = ["slot", "name", "set", "set", "read back", "what it was, or is not"];
    let table = Table::new("slots to program", &heads, 2, &[2], rows.collect());
    // The last column is for a pen.
    let table = Block::Table(Table { shares: vec![0.0, 0.0, 0.0, 0.0, 0.0, 0.24], ..table });
    let start = para(&worksheet.empty);
    let page = vec![Block::Break, head(2, "programming the unit from empty"), start, para(says), table];
    blocks.push(Block::Told(text::program(worksheet), page));
}

fn night_of(night: &Night, blocks: &mut Vec<Block>) {
    blocks.push(head(2, &night.title));
    if let Some(length) = night.length.says() {
        blocks.push(Block::Told(format!("{length}\n"), vec![para(&length)]));
    }
    // A pause stays with its song.
    let mut kept = Vec::new();
    for entry in &night.entries {
        match entry {
            Entry::Pause(says) => {
                let page = Block::Para(vec![("pause: ".to_owned(), Look::Strong), (says.clone(), Look::Plain)]);
                kept.push(Block::Told(text::pause(says), vec![page]));
            }
            Entry::Encore => {
                let page = Block::Para(vec![("encore".to_owned(), Look::Strong)]);
                kept.push(Block::Told("\n== encore\n".to_owned(), vec![page]));
            }
            Entry::Song(song) => {
                kept.push(Block::Told(text::song(song), song_of(song)));
                blocks.push(Block::Together(std::mem::take(&mut kept)));
            }
        }
    }
    blocks.append(&mut kept);
}

fn song_of(song: &SongBlock) -> Vec<Block> {
    // What stands inverted is a bank, here as on the player's sheet; a song's place in the set is none.
    let mut blocks = vec![head(3, &format!("{}. {}", song.number, song.title))];
    let facts: Vec<&str> = song.facts().collect();
    if !facts.is_empty() {
        blocks.push(para(facts.join(" · ")));
    }
    if !song.changes.is_empty() {
        blocks.push(Block::Notice(vec![song.changes.join(", ")]));
    }
    blocks.extend(song.notes.iter().map(para));
    if song.parts.is_empty() {
        return blocks;
    }
    let rows = song.parts.iter().map(|part| {
        let acts: Vec<String> = part.acts.iter().map(act).collect();
        vec![
            Cell::new(&part.slot, Look::Strong),
            Cell::new(part.name(), Look::Plain),
            Cell::new(&part.scene, Look::Plain),
            Cell::new(acts.join("; "), Look::Plain),
        ]
    });
    let (caption, heads) = (format!("parts of {}", song.title), ["slot", "part", "scene", "hands and feet"]);
    let long = song.parts.iter().any(|part| part.slot != part.stored || part.slot.len() > 6);
    let shares = if long { vec![0.18, 0.14, 0.14, 0.54] } else { vec![0.07, 0.14, 0.14, 0.65] };
    blocks.push(Block::Table(Table { shares, ..Table::new(&caption, &heads, 3, &[3], rows.collect()) }));
    blocks
}

fn act(act: &Act) -> String {
    match act.kind {
        ActKind::Called | ActKind::Change | ActKind::Hold | ActKind::Tap | ActKind::Foot | ActKind::Switch => {
            act.says.clone()
        }
        ActKind::Hand => format!("by hand: {}", act.says),
        ActKind::Cue => act.says.clone(),
        ActKind::Note => format!("note: {}", act.says),
    }
}

/// What the first moves are when something dies.
pub fn trouble(sheet: &Sheet, blocks: &mut Vec<Block>) {
    if sheet.trouble.is_empty() {
        return;
    }
    let mut inner = vec![head(2, "when something dies")];
    for way in &sheet.trouble {
        inner.push(Block::Para(vec![
            (format!("{} dead: ", way.device), Look::Strong),
            (format!("instead of {} {} press ", way.lost.1.join(", "), way.lost.0), Look::Plain),
            (format!("{} {}", way.instead.1, way.instead.0), Look::Strong),
        ]));
    }
    blocks.push(Block::Together(inner));
}

/// What no preset switches on, and has to be on.
pub fn switched_on(sheet: &Sheet) -> Option<Block> {
    let [top, under] = &sheet.switched_on;
    let reached = (!top.is_empty()).then(|| top.join(", "));
    let tucked = (!under.is_empty()).then(|| format!("under the raised row: {}", under.join(", ")));
    let names: Vec<String> = reached.into_iter().chain(tucked).collect();
    let says =
        vec![("see that it is on, for no preset turns it: ".to_owned(), Look::Strong), (names.join("; "), Look::Plain)];
    (!names.is_empty()).then(|| Block::Together(vec![Block::Para(says)]))
}

/// So many slots of one scene are named.
const FEW: usize = 4;

/// Where to press so that nothing is heard.
pub fn silence(sheet: &Sheet) -> Option<Block> {
    let says = |(scene, slots): &(String, Vec<String>)| {
        let more = slots.len().saturating_sub(FEW);
        // Presses that follow each other stand apart from those that do as well.
        let or = if slots.iter().any(|slot| slot.contains(", ")) { " or " } else { ", " };
        let named = slots.iter().take(FEW).cloned().collect::<Vec<_>>().join(or);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        format!("{named}{more} {scene}")
    };
    let all: Vec<String> = sheet.silent.iter().map(says).collect();
    let words = vec![("for silence press: ".to_owned(), Look::Strong), (all.join("; "), Look::Plain)];
    (!all.is_empty()).then(|| Block::Together(vec![Block::Para(words)]))
}

/// What breaks, and what to do by hand, in a few words; for the tech, the jacks and supplies too.
pub fn breaks(sheet: &Sheet, tech: bool) -> Vec<Block> {
    let told: Vec<&Brief> = sheet.breaks.iter().filter(|b| tech || !b.tech).collect();
    if told.is_empty() {
        return Vec::new();
    }
    let rows = told.into_iter().map(|breaks| {
        let cells =
            [(&breaks.part, Look::Strong), (&breaks.parts.to_string(), Look::Plain), (&breaks.says, Look::Plain)];
        cells.map(|(words, look)| Cell::new(words, look)).to_vec()
    });
    let table = Table::new("if it breaks", &["dead", "parts", "what to do"], 1, &[2], rows.collect());
    let mut out = vec![head(2, "if it breaks")];
    out.extend(sheet.moves_amps.then(|| Block::Notice(vec![CAUTION.to_owned()])));
    out.extend([Block::Table(table), para(LEADS)]);
    out
}

const LEADS: &str = "A lead: another of its kind in its place. Until then press a part that does without what is dead.";

/// How to read the table.
pub fn legend(sheet: &Sheet, treadles: bool) -> Block {
    let chosen = sheet.columns.iter().any(|c| c.group == Group::Guitars);
    let inputs = if chosen { ", IN the guitar input that is heard" } else { "" };
    let foot = if treadles { " foot 1 20..70: foot input 1 moves it, 20 % heel down, 70 % toe down." } else { "" };
    let order = if sheet.ordered { format!(" {ORDER}.") } else { String::new() };
    let says = |free: &str| {
        format!(
            "1 in, closed, on; 0 out, open, off; {free}. 1T is remote 1 tip, 2R remote 2 ring, X1 expression 1 in %, \
             O1 output 1{inputs}.{foot}{order}"
        )
    };
    let mut plain = String::new();
    wrap(&mut plain, &says("- does not matter"), 0, 0);
    Block::Told(plain, vec![para(says("light and dotted: free, it does not matter"))])
}

/// The rows of the table; what does not matter stands light.
pub fn table(sheet: &Sheet, rows: &[super::PresetRow]) -> Table {
    let heads: Vec<&str> = ["slot", "scene"].into_iter().chain(sheet.columns.iter().map(|c| c.head.as_str())).collect();
    // Loops, and what they are with, start a table of their own where a page is narrow.
    let apart = sheet.columns.windows(2).enumerate().filter_map(|(n, two)| match two {
        [a, b] if a.group == Group::Loops && b.group != Group::Loops => Some(n + 3),
        _ => None,
    });
    let rows = rows.iter().map(|row| {
        let mut cells = vec![Cell::new(&row.slot, Look::Strong), Cell::new(&row.scene, Look::Plain)];
        let look = |cell: &super::ShownCell| match (cell.free, cell.text.as_str()) {
            (true, _) => Look::Light,
            (false, "1") => Look::Strong,
            _ => Look::Plain,
        };
        cells.extend(row.cells.iter().map(|c| Cell::new(&c.text, look(c))));
        cells
    });
    Table { signs: Some(apart.collect()), ..Table::new("presets", &heads, 2, &[], rows.collect()) }
}

/// What the switches inside these presets do, a line each.
pub fn inside(rows: &[super::PresetRow]) -> Option<Block> {
    let lines = rows.iter().flat_map(|row| row.inside.iter().map(move |says| [&row.slot, &row.scene, says]));
    let (mut plain, mut items) = ("\ninside the presets\n".to_owned(), Vec::new());
    for [slot, scene, says] in lines {
        let rest = format!("{}{scene}: {says}", if slot.is_empty() { "" } else { " " });
        wrap(&mut plain, &format!("{slot}{rest}"), 0, 4);
        let words = vec![(slot.clone(), Look::Strong), (rest, Look::Plain)];
        items.push(Item { words, ..Item::default() });
    }
    plain.push('\n');
    let page = vec![Block::Para(vec![("inside the presets".to_owned(), Look::Strong)])];
    let list = |items| Block::List(List { columns: (0, 2), items });
    (!items.is_empty()).then(|| Block::Told(plain, [page, vec![list(items)]].concat()))
}

/// Which pedal sits in which loop, and its label.
pub fn labels(sheet: &Sheet, blocks: &mut Vec<Block>) {
    if sheet.labels.is_empty() {
        return;
    }
    let rows = sheet.labels.iter().map(|label| {
        let name = if label.code.is_empty() { "empty" } else { &label.name };
        vec![
            Cell::new(&label.place, Look::Plain),
            Cell::new(&label.code, Look::Strong),
            Cell::new(name, Look::Plain),
            Cell::new(label.title.as_deref().unwrap_or(""), Look::Plain),
        ]
    });
    let table = Table::new("loop labels", &["loop", "label", "pedal", "what it is"], 3, &[3], rows.collect());
    blocks.push(Block::Together(vec![head(2, "loop map and labels"), Block::Table(table)]));
}
