//! A sheet of so many sides: the first is read standing, the others close, each in letters as large as fit on it.

mod fit;
mod front;

use super::flow::{frame_foot, frame_top};
use super::fonts::{Face, Fonts};
use super::legible::{self, LEAST, PREFERRED};
use super::paper::Paper;
use super::placed::{Bookmark, Ink, Item, Laid, Page};
use super::strips::{LEADING, Maker, Strip, rule};
use crate::print::doc::{Doc, Look, Row, Sides, Sizes};
use fit::Fitted;

/// The small print, in points.
const SMALL: f32 = 8.5;
/// Columns that are tried: standing, a line is a song.
const STANDING: std::ops::RangeInclusive<usize> = 1..=3;
const CLOSE: std::ops::RangeInclusive<usize> = 1..=4;

/// What a side is made of.
pub(super) enum Part<'d> {
    Front(&'d [Row]),
    Close(&'d [crate::print::doc::Block]),
}

/// What is to be placed, on what, and from how many metres it was meant to be read.
pub(super) struct Asked<'a, 'f> {
    doc: &'a Doc,
    sides: &'a Sides,
    paper: Paper,
    fonts: &'a Fonts<'f>,
    distance: Option<f32>,
}

/// Places it. What was asked for and is not reached stands in `told`, and on the paper.
pub fn lay(doc: &Doc, sides: &Sides, paper: Paper, fonts: &Fonts<'_>) -> Laid {
    let mut parts = Vec::new();
    let mut asked = sides.asked;
    if !sides.front.is_empty() {
        let front = Asked { doc, sides, paper, fonts, distance: asked.take() };
        parts.push((fit::largest(&front, &Part::Front(&sides.front), 1, STANDING), front));
    }
    let close = sides.count.saturating_sub(parts.len()).max(1);
    let blocks = doc.blocks.get(sides.from..).unwrap_or(&[]);
    let back = Asked { doc, sides, paper, fonts, distance: asked };
    parts.push((fit::largest(&back, &Part::Close(blocks), close, CLOSE), back));
    let count = parts.iter().map(|(p, _)| p.sides.len()).sum();
    let mut laid = Vec::new();
    let mut before = 0;
    for (part, asked) in parts {
        let of_part = part.sides.len();
        laid.push(part.place(&asked, (before, count)));
        before += of_part;
    }
    let mut whole = Laid::join(laid).unwrap_or_else(|| empty(doc, paper));
    if count > sides.count {
        let least = fit::LEAST_SIZE;
        whole.told.push(format!("`{}` takes {count} sides: no letter is smaller than {least} points", sides.name));
    }
    whole
}

fn empty(doc: &Doc, paper: Paper) -> Laid {
    Laid {
        paper,
        title: doc.title.clone(),
        pages: Vec::new(),
        nodes: Vec::new(),
        bookmarks: Vec::new(),
        missing: Default::default(),
        told: Vec::new(),
    }
}

impl Asked<'_, '_> {
    /// The document without its blocks, in letters of one size, and what a distance that is not reached is told with.
    fn sized(&self, size: f32) -> (Doc, Option<String>) {
        let high = legible::high(self.fonts, size);
        let mut says = reads(high);
        let reached = legible::distance(high, self.sides.minutes);
        let short = self.distance.filter(|asked| *asked > reached + 0.005);
        if let Some(asked) = short {
            says = format!("{says}; not from {asked} m, as asked: `--pages large` is");
        }
        let doc = Doc {
            title: self.doc.title.clone(),
            draft: self.doc.draft,
            small: format!("{says} · {}", self.doc.small),
            sizes: Sizes { text: size, heads: [size; 3], table: size, small: SMALL },
            ..Doc::default()
        };
        (doc, short.map(|_| says))
    }
}

/// What stands at the top of a side: its name, and what to press in trouble; over the columns of the front, their heads.
fn top(maker: &mut Maker<'_, '_>, sides: &Sides, part: &Part<'_>, size: f32) -> Strip {
    let mut strip = frame_top(maker, 1, 1);
    let heads = if let Part::Front(rows) = part { front::heads(maker, rows, size) } else { Vec::new() };
    let room = heads.iter().map(|(x, _)| x - size * 0.6).fold(maker.width, f32::min);
    let mut words = vec![(sides.name.clone(), Look::Strong)];
    words.extend(sides.safe.iter().map(|safe| (format!("   safe: {safe}"), Look::Plain)));
    let y = strip.height;
    for (n, (pieces, _)) in maker.wrap(&words, size, room.max(size)).into_iter().enumerate() {
        let mut x = 0.0;
        for (text, face) in pieces {
            let item = maker.words(x, y + size * (0.92 + LEADING * n as f32), size, face, Ink::Black, &text);
            x += maker.fonts.width(&text, face, size);
            strip.items.push((None, item));
        }
        strip.height = y + size * (1.2 + LEADING * n as f32);
    }
    for (x, head) in heads {
        let item = maker.words(x, y + size * 0.92, size, Face::Regular, Ink::Black, head);
        strip.items.push((None, item));
    }
    strip.items.push((None, rule(maker.width, strip.height, Ink::Black, 1.5)));
    strip.height += size * 0.12;
    strip
}

impl Fitted {
    /// The sides as pages, each with its top, its foot, and what comes next.
    fn place(self, asked: &Asked<'_, '_>, (before, count): (usize, usize)) -> Laid {
        let paper = asked.paper;
        let mut laid = Laid { nodes: self.nodes, missing: self.missing, ..empty(asked.doc, paper) };
        let (frame, short) = asked.sized(self.size);
        laid.told.extend(short.map(|says| format!("`{}`: {says}", asked.sides.name)));
        let mut maker = Maker::new(asked.fonts, &frame, paper.inner());
        for (n, columns) in self.sides.iter().enumerate() {
            let mut page = Page::default();
            let put = |page: &mut Page, strip: &Strip, x: f32, y: f32| {
                page.items.extend(strip.items.iter().map(|(node, item)| (*node, item.moved(x, y))));
            };
            put(&mut page, &self.top, paper.margin, paper.margin);
            for (c, column) in columns.iter().enumerate() {
                let x = paper.margin + (self.width + self.gap) * c as f32;
                let from = paper.margin + self.top.height;
                if c > 0 {
                    let at = x - self.gap / 2.0;
                    let line = Item::Line { from: (at, from), to: (at, from + self.room), ink: Ink::Rule, width: 0.6 };
                    page.items.push((None, line));
                }
                for (strip, y) in column.iter().filter_map(|(s, y)| Some((self.strips.get(*s)?, *y))) {
                    if let Some((level, text)) = &strip.bookmark {
                        laid.bookmarks.push(Bookmark { level: *level, text: text.clone(), page: n, y: from + y });
                    }
                    put(&mut page, strip, x, from + y);
                }
            }
            let foot = frame_foot(&mut maker, before + n + 1, count);
            let below = paper.height - paper.margin - foot.height;
            put(&mut page, &foot, paper.margin, below);
            if let Some(next) = self.next.get(n).and_then(Option::as_ref) {
                let words = maker.words(0.0, self.size * 0.95, self.size, Face::Strong, Ink::Black, next);
                let strip = Strip { items: vec![(None, words)], ..Strip::default() };
                put(&mut page, &strip, paper.margin, below - self.size * LEADING);
            }
            laid.pages.push(page);
        }
        laid.missing.append(&mut maker.missing);
        laid
    }
}

/// From where capitals of a height in millimetres can be read.
fn reads(high: f32) -> String {
    let from = |minutes| legible::told(legible::distance(high, minutes));
    let (well, least) = (from(PREFERRED), from(LEAST));
    format!("capitals of {high:.1} mm, read from {well} ({PREFERRED} minutes of arc), at most from {least} ({LEAST})")
}
