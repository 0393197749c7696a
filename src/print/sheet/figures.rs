//! Drawings: the way of the signal through each scene, and what moves over a night.

use super::chain::{self, Stop};
use super::{Entry, Group, Night, PresetRow, Sheet, ShownCell};
use crate::Compiled;
use crate::ids::DeviceId;
use crate::print::doc::{Figure, Shape};
use crate::print::page::Ink;
use crate::settle::{Answer, Row};

// All lengths are in points.

/// The way of the signal: from a stop to the next, from a row to the next, what stands above the rows and at their end.
const STEP: f32 = 34.0;
const ROW: f32 = 19.0;
const ABOVE: f32 = 15.0;
const END: f32 = 8.0;
/// The least room for slots and names, and what a letter of them takes; no more letters make the drawings alike.
const NAMES: f32 = 92.0;
const LETTER: f32 = 6.6;
const ALIKE: usize = 24;
/// Half the width and half the height of what stands on the wire: a loop, an output, a device that is always in.
const LOOP: (f32, f32) = (13.0, 7.5);
const OUT: (f32, f32) = (11.0, 6.5);
const ALWAYS: (f32, f32) = (12.0, 7.0);
/// How far a bar across the wire stands from the middle of its stop, and half its height.
const BAR: (f32, f32) = (5.0, 4.0);
const WIRE: f32 = 1.0;
const THICK: f32 = 1.2;
/// Letters: of a loop, of what else is said, and of what feeds a chain; how far a base line lies below the middle.
const LOUD: f32 = 9.0;
const PLAIN: f32 = 8.5;
const SMALL: f32 = 7.5;
const BASE: f32 = 3.0;
const LOUD_BASE: f32 = 3.2;
const FEEDS: f32 = 10.0;

/// A night at a glance: room for the heads of the rows and for the numbers of the songs, from a row to the next, and
/// the letters of heads, which lie so far below the middle.
const HEADS: f32 = 56.0;
const NUMBERS: f32 = 11.0;
const CELL: f32 = 9.0;
const HEAD: f32 = 8.0;
const HEAD_BASE: f32 = 2.8;
/// The width of the whole, and of a part at most; songs are parted by half a part, with a line in its middle.
const ACROSS: f32 = 538.0;
const PART: f32 = 16.0;
const GAP: f32 = 0.5;
const PARTING: f32 = 0.6;
const FOOT: f32 = 2.0;
/// Shares of a part's width and a row's height: the room beside a block, half of what a bar, a block and an open box
/// take; how much an open box is drawn in for its line.
const BESIDE: f32 = 0.1;
const LEAST_BESIDE: f32 = 0.8;
const STAYS: f32 = 0.14;
const COMES: f32 = 0.4;
const GOES: f32 = 0.28;
const LINE: f32 = 0.4;

/// The signal's way for some presets, one line each: a black box is in, bare wire goes past, and
/// an output that is off ends the wire at a bar.
pub fn chain(compiled: &Compiled, sheet: &Sheet, rows: &[PresetRow]) -> Option<Figure> {
    let ways: Vec<Vec<Stop>> = rows.iter().map(|row| chain::way(compiled, row.id)).collect();
    // An order of loops turns them within the same places.
    let way = ways.first().filter(|way| !way.is_empty())?;
    let longest = |rows: &[PresetRow]| {
        rows.iter().map(|r| r.slot.chars().count() + 2 + r.scene.chars().count()).max().unwrap_or(0)
    };
    // Drawings of all banks stand alike, unless one name is much longer than names are.
    let letters = longest(&sheet.presets).min(ALIKE).max(longest(rows));
    let names = (letters as f32 * LETTER).max(NAMES);
    let width = names + STEP * way.len() as f32 + END;
    let mut shapes = Vec::new();
    let place = |n: usize| names + STEP * (n as f32 + 0.5);
    for (n, stop) in way.iter().enumerate() {
        if let Stop::Begin(from) = stop {
            shapes.push(words(place(n), FEEDS, SMALL, Ink::Black, false, from));
        }
    }
    for (r, (row, way)) in rows.iter().zip(&ways).enumerate() {
        let middle = ABOVE + ROW * (r as f32 + 0.5);
        let name = if row.slot.is_empty() { row.scene.clone() } else { format!("{}  {}", row.slot, row.scene) };
        shapes.push(Shape::From { x: 0.0, y: middle + BASE, size: PLAIN, ink: Ink::Black, strong: false, text: name });
        for (n, stop) in way.iter().enumerate() {
            let (x, half) = (place(n), STEP / 2.0);
            let wire = |from: f32, to: f32| Shape::Line {
                from: (from, middle),
                to: (to, middle),
                ink: Ink::Rule,
                width: WIRE,
            };
            match stop {
                Stop::Begin(_) => {
                    shapes.push(wire(x + BAR.0, x + half));
                    shapes.push(bar(x + BAR.0, middle));
                }
                Stop::Loop(number) if engaged(compiled, row, *number) => {
                    shapes.push(wire(x - half, x + half));
                    shapes.push(boxed((x, middle), LOOP, true));
                    shapes.push(words(x, middle + LOUD_BASE, LOUD, Ink::White, true, &label(sheet, *number)));
                }
                Stop::Switched(device) if sounds(compiled, row, *device) => {
                    shapes.push(wire(x - half, x + half));
                    shapes.push(boxed((x, middle), LOOP, true));
                    shapes.push(words(x, middle + LOUD_BASE, LOUD, Ink::White, true, &code(compiled, *device)));
                }
                Stop::Loop(_) | Stop::Switched(_) => shapes.push(wire(x - half, x + half)),
                Stop::Out(number) if on_out(compiled, row, *number) => {
                    shapes.push(wire(x - half, x - OUT.0));
                    shapes.push(boxed((x, middle), OUT, true));
                    shapes.push(words(x, middle + BASE, PLAIN, Ink::White, true, &format!("O{number}")));
                }
                // The wire ends at a bar: nothing goes out.
                Stop::Out(_) => {
                    shapes.push(wire(x - half, x - BAR.0));
                    shapes.push(bar(x - BAR.0, middle));
                }
                Stop::Always(code) => {
                    shapes.push(wire(x - half, x - ALWAYS.0));
                    shapes.push(wire(x + ALWAYS.0, x + half));
                    shapes.push(boxed((x, middle), ALWAYS, false));
                    shapes.push(words(x, middle + BASE, PLAIN, Ink::Black, false, code));
                }
            }
        }
    }
    let alt = format!(
        "signal chain of {}: {}",
        rows.len(),
        rows.iter().zip(&ways).map(|(r, way)| says(compiled, sheet, r, way)).collect::<Vec<_>>().join("; ")
    );
    Some(Figure { alt, size: (width, ABOVE + ROW * rows.len() as f32), shapes })
}

/// A bar across the wire.
fn bar(x: f32, middle: f32) -> Shape {
    Shape::Line { from: (x, middle - BAR.1), to: (x, middle + BAR.1), ink: Ink::Black, width: THICK }
}

/// A box around a place, half as wide and half as high as this.
fn boxed((x, y): (f32, f32), (w, h): (f32, f32), filled: bool) -> Shape {
    Shape::Rect { x: x - w, y: y - h, w: 2.0 * w, h: 2.0 * h, ink: Ink::Black, filled }
}

fn says(compiled: &Compiled, sheet: &Sheet, row: &PresetRow, way: &[Stop]) -> String {
    let inside = way.iter().filter_map(|stop| match *stop {
        Stop::Loop(number) if engaged(compiled, row, number) => Some(label(sheet, number)),
        Stop::Switched(device) if sounds(compiled, row, device) => Some(code(compiled, device)),
        Stop::Out(number) if on_out(compiled, row, number) => Some(format!("out at output {number}")),
        _ => None,
    });
    let inside: Vec<String> = inside.collect();
    format!("{} {}", row.scene, if inside.is_empty() { "nothing in".to_owned() } else { inside.join(", ") })
}

fn label(sheet: &Sheet, number: u16) -> String {
    let label = sheet.labels.iter().find(|l| l.number == number);
    match label {
        Some(label) if !label.code.is_empty() => label.code.clone(),
        // A loop of a helper goes by the helper's name.
        Some(label) if !label.place.starts_with(|c: char| c.is_ascii_digit()) => label.place.clone(),
        _ => format!("L{number}"),
    }
}

fn engaged(compiled: &Compiled, row: &PresetRow, number: u16) -> bool {
    Row::of(&compiled.book, &compiled.table, row.id).engaged(number) == Answer::Yes
}

fn sounds(compiled: &Compiled, row: &PresetRow, device: DeviceId) -> bool {
    Row::of(&compiled.book, &compiled.table, row.id).sounds(device) == Answer::Yes
}

fn code(compiled: &Compiled, device: DeviceId) -> String {
    compiled.book.board.devices.get(device).map_or(String::new(), |d| d.label())
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
    let step = ((ACROSS - HEADS) / (parts as f32 + songs.len() as f32 * GAP)).min(PART);
    let low = NUMBERS + CELL * shown.len() as f32;
    let mut shapes = Vec::new();
    for (r, column) in shown.iter().enumerate() {
        let y = NUMBERS + CELL * (r as f32 + 0.5);
        let head = sheet.columns.get(*column).map_or("", |c| c.head.as_str());
        shapes.push(Shape::From {
            x: 0.0,
            y: y + HEAD_BASE,
            size: HEAD,
            ink: Ink::Black,
            strong: false,
            text: head.to_owned(),
        });
    }
    let mut x = HEADS;
    let mut before: Option<&PresetRow> = None;
    for song in &songs {
        let wide = step * song.parts.len() as f32;
        shapes.push(Shape::Line {
            from: (x - step * GAP / 2.0, 0.0),
            to: (x - step * GAP / 2.0, low),
            ink: Ink::Rule,
            width: PARTING,
        });
        shapes.push(words(x + wide / 2.0, SMALL, SMALL, Ink::Black, true, &song.number.to_string()));
        for part in &song.parts {
            let row = part.id.and_then(|id| sheet.presets.iter().find(|p| p.id == id));
            if let Some(row) = row {
                for (r, column) in shown.iter().enumerate() {
                    let now = row.cells.get(*column);
                    let was = before.and_then(|b| b.cells.get(*column));
                    let y = NUMBERS + CELL * (r as f32 + 0.5);
                    shapes.extend(mark(x, y, step, CELL, was, now));
                }
                before = Some(row);
            }
            x += step;
        }
        x += step * GAP;
    }
    let alt = format!(
        "what moves over {}: {} songs, {parts} parts; the tables say the same in words",
        night.title,
        songs.len()
    );
    Some(Figure { alt, size: (x, low + FOOT), shapes })
}

/// A value that does something.
fn on(cell: Option<&ShownCell>) -> Option<&str> {
    cell.filter(|c| !c.free && c.text != "0" && c.text != "stays").map(|c| c.text.as_str())
}

/// How a cell looks beside the part before.
fn mark(x: f32, y: f32, w: f32, h: f32, was: Option<&ShownCell>, now: Option<&ShownCell>) -> Option<Shape> {
    let gap = (w * BESIDE).min(LEAST_BESIDE);
    match (on(was), on(now)) {
        (None, None) => None,
        (Some(a), Some(b)) if a == b => {
            Some(Shape::Rect { x, y: y - h * STAYS, w, h: 2.0 * h * STAYS, ink: Ink::Blue, filled: true })
        }
        (_, Some(_)) => Some(Shape::Rect {
            x: x + gap,
            y: y - h * COMES,
            w: w - 2.0 * gap,
            h: 2.0 * h * COMES,
            ink: Ink::Black,
            filled: true,
        }),
        (Some(_), None) => Some(Shape::Rect {
            x: x + gap + LINE,
            y: y - h * GOES,
            w: w - 2.0 * (gap + LINE),
            h: 2.0 * h * GOES,
            ink: Ink::Vermilion,
            filled: false,
        }),
    }
}
