//! The side that is read standing: a line a song.

use super::super::fonts::Face;
use super::super::placed::{Ink, Item, Role};
use super::super::strips::{Maker, Strip, rule};
use crate::print::doc::{Look, Row};

/// A line's height, as a multiple of the size: letters reach from 0.70 above the base line to 0.20 below it.
const LINE: f32 = 1.1;
const BASE: f32 = 0.88;
/// Blanks: between columns, and left and right of what stands inverted or framed.
const BETWEEN: f32 = 0.45;
const BESIDE: f32 = 0.16;

/// The widths that all lines share, in points: numbers, tempi, banks with their box.
struct Widths {
    number: f32,
    tempo: f32,
    bank: f32,
}

fn widths(maker: &Maker<'_, '_>, rows: &[Row], size: f32) -> Widths {
    let mut widths = Widths { number: 0.0, tempo: 0.0, bank: 0.0 };
    let wide = |text: &str, face: Face| maker.fonts.width(text, face, size);
    for row in rows {
        let Row::Song { number, tempo, bank, .. } = row else { continue };
        widths.number = widths.number.max(wide(&number.to_string(), Face::Regular));
        if !tempo.is_empty() {
            widths.tempo = widths.tempo.max(wide(tempo, Face::Regular)).max(wide("bpm", Face::Regular));
        }
        if !bank.is_empty() {
            let boxed = wide(bank, Face::Strong) + 2.0 * BESIDE * size;
            widths.bank = widths.bank.max(boxed).max(wide("bank", Face::Regular));
        }
    }
    widths
}

/// The heads over tempi and banks, each with the place where it starts.
pub(super) fn heads(maker: &Maker<'_, '_>, rows: &[Row], size: f32) -> Vec<(f32, &'static str)> {
    let widths = widths(maker, rows, size);
    let mut right = maker.width;
    let mut out = Vec::new();
    for (width, head) in [(widths.bank, "bank"), (widths.tempo, "bpm")] {
        if width > 0.0 {
            out.push((right - maker.fonts.width(head, Face::Regular, size), head));
            right -= width + BETWEEN * size;
        }
    }
    out.reverse();
    out
}

/// All lines; a song that is wider takes more, and what to change before it stands framed behind its title, or below.
pub(super) fn rows(maker: &mut Maker<'_, '_>, rows: &[Row], size: f32) {
    let widths = widths(maker, rows, size);
    let table = maker.node(Role::Table, 0);
    let mut paused = false;
    for row in rows {
        match row {
            Row::Pause => paused = true,
            Row::Song { .. } => {
                song(maker, row, &widths, size, table, std::mem::take(&mut paused));
            }
        }
    }
}

fn song(maker: &mut Maker<'_, '_>, row: &Row, widths: &Widths, size: f32, table: usize, paused: bool) {
    let Row::Song { number, title, tempo, bank, change } = row else { return };
    let node = maker.node(Role::Row, table);
    let roles = [Role::RowHead, Role::Data, Role::Data, Role::Data].map(|role| maker.node(role, node));
    let [head, told, beats, stored] = roles;
    let between = BETWEEN * size;
    let left = widths.number + between;
    let mut right = maker.width;
    let mut last = Vec::new();
    if widths.bank > 0.0 {
        if !bank.is_empty() {
            let wide = maker.fonts.width(bank, Face::Strong, size) + 2.0 * BESIDE * size;
            let (x, y) = (right - wide, (BASE - 0.79) * size);
            let frame = Item::Rect { x, y, w: wide, h: size * 0.9, ink: Ink::Black, line: None };
            let words = maker.words(x + BESIDE * size, BASE * size, size, Face::Strong, Ink::White, bank);
            last.extend([(None, frame), (Some(stored), words)]);
        }
        right -= widths.bank + between;
    }
    let mut beat = Vec::new();
    if widths.tempo > 0.0 {
        let wide = maker.fonts.width(tempo, Face::Regular, size);
        if !tempo.is_empty() {
            let words = maker.words(right - wide, BASE * size, size, Face::Regular, Ink::Black, tempo);
            beat.push((Some(beats), words));
        }
        right -= widths.tempo + between;
    }
    let room = (right - left).max(size);
    let lines = maker.wrap(&[(title.clone(), Look::Strong)], size, room);
    let number = number.to_string();
    let x = widths.number - maker.fonts.width(&number, Face::Regular, size);
    let words = maker.words(x, BASE * size, size, Face::Regular, Ink::Black, &number);
    let mut strip = Strip { items: vec![(Some(head), words)], ..Strip::default() };
    let mut used = 0.0;
    for (n, (pieces, wide)) in lines.iter().enumerate() {
        let y = size * (BASE + LINE * n as f32);
        for (text, face) in pieces {
            let words = maker.words(left, y, size, *face, Ink::Black, text);
            strip.items.push((Some(head), words));
        }
        used = *wide;
    }
    let mut count = lines.len();
    if !change.is_empty() {
        let wide = maker.fonts.width(change, Face::Regular, size) + 2.0 * BESIDE * size;
        let beside = used + between + wide <= room;
        let x = if beside { left + used + between } else { left };
        let lines = maker.wrap(&[(change.clone(), Look::Plain)], size, room - 2.0 * BESIDE * size);
        let from = if beside { count - 1 } else { count };
        count = from + lines.len();
        for (n, (pieces, wide)) in lines.iter().enumerate() {
            let top = size * (LINE * (from + n) as f32);
            let thick = (size * 0.05).max(0.7);
            let frame = Item::Rect {
                x: x + thick / 2.0,
                y: top + (BASE - 0.78) * size,
                w: wide + 2.0 * BESIDE * size - thick,
                h: size * 1.0 - thick,
                ink: Ink::Black,
                line: Some(thick),
            };
            strip.items.push((None, frame));
            for (text, face) in pieces {
                let words = maker.words(x + BESIDE * size, top + BASE * size, size, *face, Ink::Black, text);
                strip.items.push((Some(told), words));
            }
        }
    }
    strip.items.extend(beat);
    strip.items.extend(last);
    strip.height = size * LINE * count as f32;
    // A pause before it is a thick line over it.
    let (ink, thick) = if paused { (Ink::Black, 2.4) } else { (Ink::Rule, 0.4) };
    strip.items.push((None, rule(maker.width, 0.0, ink, thick)));
    maker.strips.push(strip);
}
