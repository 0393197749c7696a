//! The walk for people: the sums of each set, a drawn strip, and song by song what each change asks.

use super::model::{Between, Page, Pages, Row};
use crate::Compiled;
use crate::print::doc::{Block, Doc, Figure, Item, List, Look, Mark, Shape, head, para};
use crate::print::page::Ink;
use crate::print::words::CALLED;

/// Bars of letters.
const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// Of the drawing, in points: a change's width and its bar's, the gap between songs, the height of the least bar and
/// what the worst has more, and how far below the bars a song is underlined, and how thick.
const STEP: f32 = 12.0;
const BAR: f32 = 10.0;
const GAP: f32 = 6.0;
const LEAST: f32 = 2.0;
const HEIGHT: f32 = 60.0;
const BELOW: f32 = 4.0;
const THICK: f32 = 2.0;
/// A short strip is drawn no larger than one of so many changes.
const SHORT: f32 = 40.0;

/// The whole.
pub fn doc(compiled: &Compiled, pages: &Pages) -> Doc {
    let mut blocks = Vec::new();
    pages.sets.iter().for_each(|page| set(page, &mut blocks));
    if !pages.after_power_loss.is_empty() {
        blocks.push(head(2, "after a power loss"));
        let lines = pages.after_power_loss.iter().map(|l| (0, format!("{}: {} ({})", l.what, l.stands, l.way)));
        blocks.push(list(2, lines));
    }
    blocks.push(blank());
    blocks.extend(pages.missing.iter().map(|missing| para(format!("not known: {missing}"))));
    Doc::report(compiled, "the walk", blocks)
}

/// The changes from one part straight to another.
pub fn straight(compiled: &Compiled, between: &Between) -> Doc {
    let mut blocks = Vec::new();
    for row in &between.changes {
        let stands = |part: Option<&str>, slot: Option<&str>, scene: &str| {
            let scene = format!("{} {scene}", slot.unwrap_or("in no slot:"));
            part.filter(|part| !part.is_empty()).map_or(scene.clone(), |part| format!("{part} ({scene})"))
        };
        let from = row.from.as_deref().unwrap_or("-");
        let from = stands(row.from_part.as_deref(), row.from_slot.as_deref(), from);
        let to = stands(Some(&row.part), row.slot.as_deref(), &row.scene);
        let song = |title: &str| if title.is_empty() { String::new() } else { format!("\"{title}\": ") };
        let says = match (&row.from_song, &row.song) {
            (Some(old), new) if old != new => format!("from {}{from} to {}{to}", song(old), song(new)),
            (_, new) => format!("{}from {from} to {to}", song(new)),
        };
        let presses = row.presses.map_or("presses not known".to_owned(), |n| count(n as usize, "press", "presses"));
        let mut lines = vec![(0, if row.called { CALLED.to_owned() } else { presses })];
        asked(row, &mut lines);
        let lines = lines.into_iter().map(|(_, line)| (0, line));
        blocks.push(Block::Together(vec![head(2, &says), list(4, lines)]));
    }
    blocks.push(blank());
    blocks.extend(between.missing.iter().map(|missing| para(format!("not known: {missing}"))));
    Doc::report(compiled, "from part to part", blocks)
}

/// A line without words, in plain text alone.
fn blank() -> Block {
    Block::Told("\n".to_owned(), Vec::new())
}

/// Lines with their depth, the outermost set in so many columns; what a change asks stands below its scene.
fn list(columns: usize, lines: impl IntoIterator<Item = (usize, String)>) -> Block {
    let item = |(depth, text)| Item { depth, mark: Mark::None, words: vec![(text, Look::Plain)] };
    Block::List(List { columns: (columns, 5), items: lines.into_iter().map(item).collect() })
}

fn set(page: &Page, blocks: &mut Vec<Block>) {
    let t = &page.totals;
    let presses = t.presses.map_or("presses not known".to_owned(), |n| count(n as usize, "press", "presses"));
    blocks.push(head(2, &format!("\"{}\": {}, {presses}", page.title, count(t.changes, "change", "changes"))));
    let sums = [
        count(t.loops, "loop moves", "loops move"),
        count(t.contacts, "contact moves", "contacts move"),
        count(t.manual, "move by hand or foot", "moves by hand or foot"),
        format!("{} with both feet", t.two_feet),
        count(t.jumps, "jump", "jumps"),
        count(t.tails, "tail cut", "tails cut"),
    ];
    blocks.push(list(2, [(0, sums.join(", "))]));
    if page.changes.is_empty() {
        blocks.push(blank());
    } else {
        let key = "a bar a change, the higher the more there is to do; a gap between songs";
        let drawn = vec![Block::Figure(figure(page)), para(key)];
        blocks.push(Block::Told(format!("  {}\n  {key}\n\n", strip(page)), drawn));
    }
    for rows in page.changes.chunk_by(|a, b| a.song == b.song) {
        let song = rows.first().map_or("", |row| &row.song);
        blocks.push(Block::Together(vec![head(3, &format!("\"{song}\"")), list(4, rows.iter().flat_map(change))]));
    }
    if !page.worst.is_empty() {
        let worst = page.worst.iter().filter_map(|n| page.changes.get(n.checked_sub(1)?)).map(|row| {
            let from = row.from.as_deref().unwrap_or("-");
            (0, format!("{:>3}  {from} -> {}, in \"{}\"", row.number, row.scene, row.song))
        });
        blocks.push(Block::Together(vec![head(3, "the worst"), list(4, worst)]));
    }
}

fn change(row: &Row) -> Vec<(usize, String)> {
    let slot = row.slot.as_deref().unwrap_or("-");
    let presses = match row.presses {
        _ if row.called => format!(", {CALLED}"),
        Some(n) => format!(", {}", count(n as usize, "press", "presses")),
        None => String::new(),
    };
    let mut out = vec![(0, format!("{:>3}  {slot:<6} {} ({}){presses}", row.number, row.scene, row.part))];
    asked(row, &mut out);
    out
}

/// What a change asks, a line each, below it.
fn asked(row: &Row, out: &mut Vec<(usize, String)>) {
    let manual: Vec<String> = row.held.iter().chain(&row.manual).cloned().collect();
    let asks = [
        ("", &row.loops),
        ("", &row.turns),
        ("hands: ", &row.hands),
        ("by hand or foot: ", &manual),
        ("jumps: ", &row.jumps),
        ("cut: ", &row.tails),
    ];
    out.extend(asks.iter().filter(|(_, l)| !l.is_empty()).map(|(says, l)| (1, format!("{says}{}", l.join(", ")))));
    if row.inside && row.feet > 1 {
        out.push((1, format!("wants {} feet at once", row.feet)));
    }
    if row.crowded {
        out.push((1, "wants both feet or more while it sounds".to_owned()));
    }
    if let Some(db) = row.level_db.filter(|db| *db != 0.0) {
        out.push((1, format!("{db:+} dB, by the gains of switched pedals and the trims of outputs; how they load each other is not counted")));
    }
}

fn worst(page: &Page) -> u32 {
    page.changes.iter().map(|r| r.pain).max().unwrap_or(0).max(1)
}

/// One bar a change, as high as it hurts; a gap between songs.
fn strip(page: &Page) -> String {
    let bar = |row: &Row| {
        let height = (row.pain as usize * (BARS.len() - 1)).div_ceil(worst(page) as usize);
        BARS.get(height).copied().unwrap_or(' ')
    };
    let songs = page.changes.chunk_by(|a, b| a.song == b.song);
    songs.map(|rows| rows.iter().map(bar).collect::<String>()).collect::<Vec<_>>().join(" ")
}

/// The same drawn; a line below each song.
fn figure(page: &Page) -> Figure {
    let foot = LEAST + HEIGHT;
    let mut shapes = Vec::new();
    let mut x = 0.0;
    for rows in page.changes.chunk_by(|a, b| a.song == b.song) {
        let start = x;
        for row in rows {
            let h = LEAST + row.pain as f32 * HEIGHT / worst(page) as f32;
            shapes.push(Shape::Rect { x, y: foot - h, w: BAR, h, ink: Ink::Black, filled: true });
            x += STEP;
        }
        let (from, to) = ((start, foot + BELOW), (x - (STEP - BAR), foot + BELOW));
        shapes.push(Shape::Line { from, to, ink: Ink::Black, width: THICK });
        x += GAP;
    }
    let alt = format!("{} changes, the higher the bar the more a change asks", page.changes.len());
    Figure { alt, size: (x.max(STEP * SHORT), foot + BELOW + THICK), shapes }
}

fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}
