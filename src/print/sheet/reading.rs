//! The sheet for the table: songs, presets, labels, the worksheet; at the size of a book.

use super::{Act, ActKind, Entry, Night, Sheet, SongBlock};
use crate::print::page::{Block, Cell, Doc, Look, Table};

/// The whole sheet.
pub fn doc(sheet: &Sheet) -> Doc {
    let mut blocks = Vec::new();
    let title = heading(sheet);
    blocks.push(Block::Heading { level: 1, mark: String::new(), text: title.clone() });
    if let Some((slot, scene)) = &sheet.safe {
        blocks.push(Block::Notice(vec![format!("always right to press: {slot} {scene}")]));
    }
    sheet.nights.iter().for_each(|night| night_of(night, &mut blocks));
    trouble(sheet, &mut blocks);
    if !sheet.presets.is_empty() {
        blocks.push(head(2, "presets"));
        blocks.push(Block::Para(vec![legend()]));
        blocks.push(Block::Table(table(sheet, &sheet.presets)));
    }
    labels(sheet, &mut blocks);
    if let Some(steps) = &sheet.program {
        blocks.push(Block::Break);
        blocks.push(head(2, "programming the unit from empty"));
        let says = "Tick once when a slot is set, and once when it has been read back from the unit and found right.";
        blocks.push(Block::Para(vec![(says.to_owned(), Look::Plain)]));
        let rows = steps.iter().map(|step| {
            let set = step.set.join("; ");
            vec![
                Cell::new(&step.slot, Look::Strong),
                Cell::new(&step.name, Look::Plain),
                Cell::new(set, Look::Plain),
                Cell::tick(),
                Cell::tick(),
            ]
        });
        let heads = ["slot", "name", "set", "set", "read back"].map(str::to_owned).to_vec();
        let caption = "slots to program".to_owned();
        blocks.push(Block::Table(Table {
            caption,
            heads,
            keys: 2,
            wraps: vec![2],
            rows: rows.collect(),
            ..Table::default()
        }));
    }
    Doc { title, small: small(sheet), draft: sheet.draft, blocks, ..Doc::default() }
}

/// The title of a sheet: the board's.
pub fn heading(sheet: &Sheet) -> String {
    if sheet.board.is_empty() { "gig sheet".to_owned() } else { sheet.board.clone() }
}

/// The small print of every page.
pub fn small(sheet: &Sheet) -> String {
    let mut out = heading(sheet);
    if !sheet.version.is_empty() {
        out += &format!(" · version {}", sheet.version);
    }
    out += &format!(" · source {}", sheet.fingerprint);
    if let Some(date) = &sheet.date {
        out += &format!(" · {date}");
    }
    out
}

/// A heading without a mark.
pub fn head(level: u8, text: &str) -> Block {
    Block::Heading { level, mark: String::new(), text: text.to_owned() }
}

fn night_of(night: &Night, blocks: &mut Vec<Block>) {
    blocks.push(head(2, &night.title));
    // A pause stays with its song.
    let mut kept = Vec::new();
    for entry in &night.entries {
        match entry {
            Entry::Pause(says) => {
                kept.push(Block::Para(vec![("pause: ".to_owned(), Look::Strong), (says.clone(), Look::Plain)]))
            }
            Entry::Song(song) => {
                kept.extend(song_of(song));
                blocks.push(Block::Together(std::mem::take(&mut kept)));
            }
        }
    }
    blocks.append(&mut kept);
}

fn song_of(song: &SongBlock) -> Vec<Block> {
    // What stands inverted is a bank, here as on the player's sheet; a song's place in the set is none.
    let mut blocks = vec![head(3, &format!("{}. {}", song.number, song.title))];
    let facts: Vec<&str> =
        [&song.tempo, &song.guitar, &song.tuning].into_iter().flatten().map(String::as_str).collect();
    if !facts.is_empty() {
        blocks.push(Block::Para(vec![(facts.join(" · "), Look::Plain)]));
    }
    if !song.changes.is_empty() {
        blocks.push(Block::Notice(vec![song.changes.join(", ")]));
    }
    if song.parts.is_empty() {
        return blocks;
    }
    let rows = song.parts.iter().map(|part| {
        let acts: Vec<String> = part.acts.iter().map(act).collect();
        vec![
            Cell::new(&part.slot, Look::Strong),
            Cell::new(&part.label, Look::Plain),
            Cell::new(&part.scene, Look::Plain),
            Cell::new(acts.join("; "), Look::Plain),
        ]
    });
    let heads = ["slot", "part", "scene", "hands and feet"].map(str::to_owned).to_vec();
    let caption = format!("parts of {}", song.title);
    let shares = vec![0.07, 0.14, 0.14, 0.65];
    blocks.push(Block::Table(Table { caption, heads, keys: 3, wraps: vec![3], shares, rows: rows.collect() }));
    blocks
}

fn act(act: &Act) -> String {
    match act.kind {
        ActKind::Hold | ActKind::Tap | ActKind::Foot => act.says.clone(),
        ActKind::Hand => format!("by hand: {}", act.says),
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
            (format!("instead of {} {} press ", way.lost.1, way.lost.0), Look::Plain),
            (format!("{} {}", way.instead.1, way.instead.0), Look::Strong),
        ]));
    }
    blocks.push(Block::Together(inner));
}

/// How to read the table.
pub fn legend() -> (String, Look) {
    let says = "1 in, closed, on; 0 out, open, off; light and dotted: free, it does not matter. 1T is remote 1 tip, 2R remote 2 ring, \
                X1 expression 1 in %, O1 output 1.";
    (says.to_owned(), Look::Plain)
}

/// The rows of the table; what does not matter stands light.
pub fn table(sheet: &Sheet, rows: &[super::PresetRow]) -> Table {
    let mut heads = vec!["slot".to_owned(), "scene".to_owned()];
    heads.extend(sheet.columns.iter().map(|c| c.head.clone()));
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
    Table { caption: "presets".to_owned(), heads, keys: 2, rows: rows.collect(), ..Table::default() }
}

/// Which pedal sits in which loop, and its label.
pub fn labels(sheet: &Sheet, blocks: &mut Vec<Block>) {
    if sheet.labels.is_empty() {
        return;
    }
    let rows = sheet.labels.iter().map(|label| {
        let name = if label.code.is_empty() { "empty" } else { &label.name };
        vec![
            Cell::new(label.number.to_string(), Look::Plain),
            Cell::new(&label.code, Look::Strong),
            Cell::new(name, Look::Plain),
            Cell::new(label.title.as_deref().unwrap_or(""), Look::Plain),
        ]
    });
    let heads = ["loop", "label", "pedal", "what it is"].map(str::to_owned).to_vec();
    let table = Table {
        caption: "loop labels".to_owned(),
        heads,
        keys: 3,
        wraps: vec![3],
        rows: rows.collect(),
        ..Table::default()
    };
    blocks.push(Block::Together(vec![head(2, "loop map and labels"), Block::Table(table)]));
}
