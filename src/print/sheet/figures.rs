//! Drawings: the way of the signal through each scene, and what moves over a night.

use super::chain::{self, Stop};
use super::{Entry, Group, Night, PresetRow, Sheet, ShownCell};
use crate::Compiled;
use crate::print::doc::{Figure, Shape};
use crate::print::page::Ink;
use crate::settle::{Answer, Row};

const STEP: f32 = 34.0;
/// The least room for slots and names, and what a letter of them takes.
const NAMES: f32 = 92.0;
const LETTER: f32 = 6.6;

/// The signal's way for some presets, one line each: a black box is in, bare wire goes past, and
/// an output that is off ends the wire at a bar.
pub fn chain(compiled: &Compiled, sheet: &Sheet, rows: &[PresetRow]) -> Option<Figure> {
    let way = chain::way(compiled);
    if way.is_empty() || rows.is_empty() {
        return None;
    }
    let (line, top) = (19.0, 15.0);
    let longest = |rows: &[PresetRow]| {
        rows.iter().map(|r| r.slot.chars().count() + 2 + r.scene.chars().count()).max().unwrap_or(0)
    };
    // Drawings of all banks stand alike, unless one name is much longer than names are.
    let letters = longest(&sheet.presets).min(24).max(longest(rows));
    let names = (letters as f32 * LETTER).max(NAMES);
    let width = names + STEP * way.len() as f32 + 8.0;
    let mut shapes = Vec::new();
    let place = |n: usize| names + STEP * (n as f32 + 0.5);
    for (n, stop) in way.iter().enumerate() {
        if let Stop::Begin(from) = stop {
            shapes.push(words(place(n), 10.0, 7.5, Ink::Black, false, from));
        }
    }
    for (r, row) in rows.iter().enumerate() {
        let middle = top + line * (r as f32 + 0.5);
        let name = if row.slot.is_empty() { row.scene.clone() } else { format!("{}  {}", row.slot, row.scene) };
        shapes.push(Shape::From { x: 0.0, y: middle + 3.0, size: 8.5, ink: Ink::Black, strong: false, text: name });
        for (n, stop) in way.iter().enumerate() {
            let (x, half) = (place(n), STEP / 2.0);
            let wire =
                |from: f32, to: f32| Shape::Line { from: (from, middle), to: (to, middle), ink: Ink::Rule, width: 1.0 };
            match stop {
                Stop::Begin(_) => {
                    shapes.push(wire(x + 5.0, x + half));
                    shapes.push(Shape::Line {
                        from: (x + 5.0, middle - 4.0),
                        to: (x + 5.0, middle + 4.0),
                        ink: Ink::Black,
                        width: 1.2,
                    });
                }
                Stop::Loop(number) if engaged(compiled, row, *number) => {
                    shapes.push(wire(x - half, x + half));
                    shapes.push(Shape::Rect {
                        x: x - 13.0,
                        y: middle - 7.5,
                        w: 26.0,
                        h: 15.0,
                        ink: Ink::Black,
                        filled: true,
                    });
                    shapes.push(words(x, middle + 3.2, 9.0, Ink::White, true, &label(sheet, *number)));
                }
                Stop::Loop(_) => shapes.push(wire(x - half, x + half)),
                Stop::Out(number) if on_out(compiled, row, *number) => {
                    shapes.push(wire(x - half, x - 11.0));
                    shapes.push(Shape::Rect {
                        x: x - 11.0,
                        y: middle - 6.5,
                        w: 22.0,
                        h: 13.0,
                        ink: Ink::Black,
                        filled: true,
                    });
                    shapes.push(words(x, middle + 3.0, 8.5, Ink::White, true, &format!("O{number}")));
                }
                // The wire ends at a bar: nothing goes out.
                Stop::Out(_) => {
                    shapes.push(wire(x - half, x - 5.0));
                    let (from, to) = ((x - 5.0, middle - 4.0), (x - 5.0, middle + 4.0));
                    shapes.push(Shape::Line { from, to, ink: Ink::Black, width: 1.2 });
                }
                Stop::Always(code) => {
                    shapes.push(wire(x - half, x - 12.0));
                    shapes.push(wire(x + 12.0, x + half));
                    shapes.push(Shape::Rect {
                        x: x - 12.0,
                        y: middle - 7.0,
                        w: 24.0,
                        h: 14.0,
                        ink: Ink::Black,
                        filled: false,
                    });
                    shapes.push(words(x, middle + 3.0, 8.5, Ink::Black, false, code));
                }
            }
        }
    }
    let alt = format!(
        "signal chain of {}: {}",
        rows.len(),
        rows.iter().map(|r| says(compiled, sheet, r)).collect::<Vec<_>>().join("; ")
    );
    Some(Figure { alt, size: (width, top + line * rows.len() as f32), shapes })
}

fn says(compiled: &Compiled, sheet: &Sheet, row: &PresetRow) -> String {
    let inside = chain::way(compiled).into_iter().filter_map(|stop| match stop {
        Stop::Loop(number) if engaged(compiled, row, number) => Some(label(sheet, number)),
        Stop::Out(number) if on_out(compiled, row, number) => Some(format!("out at output {number}")),
        _ => None,
    });
    let inside: Vec<String> = inside.collect();
    format!("{} {}", row.scene, if inside.is_empty() { "nothing in".to_owned() } else { inside.join(", ") })
}

fn label(sheet: &Sheet, number: u16) -> String {
    let label = sheet.labels.iter().find(|l| l.number == number).map_or("", |l| l.code.as_str());
    if label.is_empty() { format!("L{number}") } else { label.to_owned() }
}

fn engaged(compiled: &Compiled, row: &PresetRow, number: u16) -> bool {
    Row::of(&compiled.book, &compiled.table, row.id).engaged(number) == Answer::Yes
}

fn on_out(compiled: &Compiled, row: &PresetRow, number: u16) -> bool {
    Row::of(&compiled.book, &compiled.table, row.id).lets_out(number) == Answer::Yes
}

fn words(x: f32, y: f32, size: f32, ink: Ink, strong: bool, text: &str) -> Shape {
    Shape::Words { x, y, size, ink, strong, text: text.to_owned() }
}

/// A night at a glance: songs across, cells down. A bar is on and stays; a black block has just come in or changed; an
/// open box has just gone out.
pub fn overview(sheet: &Sheet, night: &Night) -> Option<Figure> {
    let songs: Vec<_> =
        night.entries.iter().filter_map(|e| if let Entry::Song(s) = e { Some(s) } else { None }).collect();
    let parts: usize = songs.iter().map(|s| s.parts.len()).sum();
    let shown: Vec<usize> =
        sheet.columns.iter().enumerate().filter(|(_, c)| !matches!(c.group, Group::Feet)).map(|(n, _)| n).collect();
    if parts == 0 || shown.is_empty() {
        return None;
    }
    let (names, top, line) = (56.0, 11.0, 9.0);
    let step = ((538.0 - names) / (parts as f32 + songs.len() as f32 * 0.5)).min(16.0);
    let low = top + line * shown.len() as f32;
    let mut shapes = Vec::new();
    for (r, column) in shown.iter().enumerate() {
        let y = top + line * (r as f32 + 0.5);
        let head = sheet.columns.get(*column).map_or("", |c| c.head.as_str());
        shapes.push(Shape::From {
            x: 0.0,
            y: y + 2.8,
            size: 8.0,
            ink: Ink::Black,
            strong: false,
            text: head.to_owned(),
        });
    }
    let mut x = names;
    let mut before: Option<&PresetRow> = None;
    for song in &songs {
        let wide = step * song.parts.len() as f32;
        shapes.push(Shape::Line {
            from: (x - step * 0.25, 0.0),
            to: (x - step * 0.25, low),
            ink: Ink::Rule,
            width: 0.6,
        });
        shapes.push(words(x + wide / 2.0, 7.5, 7.5, Ink::Black, true, &song.number.to_string()));
        for part in &song.parts {
            let row = part.id.and_then(|id| sheet.presets.iter().find(|p| p.id == id));
            if let Some(row) = row {
                for (r, column) in shown.iter().enumerate() {
                    let now = row.cells.get(*column);
                    let was = before.and_then(|b| b.cells.get(*column));
                    let y = top + line * (r as f32 + 0.5);
                    shapes.extend(mark(x, y, step, line, was, now));
                }
                before = Some(row);
            }
            x += step;
        }
        x += step * 0.5;
    }
    let alt = format!(
        "what moves over {}: {} songs, {parts} parts; the tables say the same in words",
        night.title,
        songs.len()
    );
    Some(Figure { alt, size: (x, low + 2.0), shapes })
}

/// A value that does something.
fn on(cell: Option<&ShownCell>) -> Option<&str> {
    cell.filter(|c| !c.free && c.text != "0" && c.text != "stays").map(|c| c.text.as_str())
}

/// How a cell looks beside the part before.
fn mark(x: f32, y: f32, w: f32, h: f32, was: Option<&ShownCell>, now: Option<&ShownCell>) -> Option<Shape> {
    let gap = (w * 0.1).min(0.8);
    match (on(was), on(now)) {
        (None, None) => None,
        (Some(a), Some(b)) if a == b => {
            Some(Shape::Rect { x, y: y - h * 0.14, w, h: h * 0.28, ink: Ink::Blue, filled: true })
        }
        (_, Some(_)) => Some(Shape::Rect {
            x: x + gap,
            y: y - h * 0.4,
            w: w - 2.0 * gap,
            h: h * 0.8,
            ink: Ink::Black,
            filled: true,
        }),
        (Some(_), None) => Some(Shape::Rect {
            x: x + gap + 0.4,
            y: y - h * 0.28,
            w: w - 2.0 * gap - 0.8,
            h: h * 0.56,
            ink: Ink::Vermilion,
            filled: false,
        }),
    }
}
