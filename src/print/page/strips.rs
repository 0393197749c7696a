//! Blocks to strips: pieces of full width and known height, from which pages are stacked.

use std::cell::Cell;
use std::collections::BTreeMap;

use super::fonts::{Face, Fonts};
use super::placed::{Ink, Item, Node, Role};
use crate::print::doc::{Block, Chip, Doc, Figure, List, Look, Mark, Shape, Words, squeezed};

/// The distance between two base lines, as a multiple of the size.
pub(super) const LEADING: f32 = 1.25;

/// A piece of a page.
#[derive(Clone, Debug, Default)]
pub(super) struct Strip {
    /// Its height in points.
    pub(super) height: f32,
    /// What is on it, from its own top left corner.
    pub(super) items: Vec<(Option<usize>, Item)>,
    /// It wants the next one on its page.
    pub(super) keep: bool,
    /// The table it is a row of, as an index of the repeated heads.
    pub(super) head: Option<usize>,
    /// The height of it and of what no page may part it from.
    pub(super) whole: f32,
    /// A bookmark.
    pub(super) bookmark: Option<(u8, String)>,
    /// A new page starts before it.
    pub(super) breaks: bool,
}

/// Makes strips.
pub(super) struct Maker<'f, 'd> {
    pub(super) fonts: &'f Fonts<'d>,
    pub(super) doc: &'f Doc,
    /// The width between the margins, in points.
    pub(super) width: f32,
    /// The size of the letters of the table at hand.
    pub(super) table_size: f32,
    pub(super) strips: Vec<Strip>,
    /// Heads of tables, to be repeated.
    pub(super) heads: Vec<Strip>,
    pub(super) nodes: Vec<Node>,
    pub(super) missing: BTreeMap<char, String>,
    /// A word was parted between letters.
    pub(super) parted: Cell<bool>,
}

/// A line of words: pieces with their faces, and its width in points.
pub(super) type Line = (Vec<(String, Face)>, f32);

impl Look {
    /// Its face.
    pub(super) fn face(self) -> Face {
        match self {
            Look::Plain | Look::Name => Face::Regular,
            Look::Strong => Face::Strong,
            Look::Light => Face::Light,
        }
    }

    /// Its colour.
    pub(super) fn ink(self) -> Ink {
        if self == Look::Light { Ink::Grey } else { Ink::Black }
    }
}

impl<'f, 'd> Maker<'f, 'd> {
    pub(super) fn new(fonts: &'f Fonts<'d>, doc: &'f Doc, width: f32) -> Maker<'f, 'd> {
        let nodes = vec![Node { role: Role::Document, parent: 0 }];
        Maker {
            fonts,
            doc,
            width,
            table_size: doc.sizes.table,
            strips: Vec::new(),
            heads: Vec::new(),
            nodes,
            missing: BTreeMap::new(),
            parted: Cell::new(false),
        }
    }

    pub(super) fn node(&mut self, role: Role, parent: usize) -> usize {
        self.nodes.push(Node { role, parent });
        self.nodes.len() - 1
    }

    pub(super) fn gap(&mut self, height: f32) {
        self.strips.push(Strip { height, ..Strip::default() });
    }

    /// Words on a base line; notes what cannot be printed.
    pub(super) fn words(&mut self, x: f32, y: f32, size: f32, face: Face, ink: Ink, text: &str) -> Item {
        if let Some(letter) = self.fonts.lacks(text) {
            self.missing.entry(letter).or_insert_with(|| text.to_owned());
        }
        let width = self.fonts.width(text, face, size);
        Item::Words { x, y, size, width, face, ink, text: text.to_owned() }
    }

    pub(super) fn block(&mut self, block: &Block) {
        let sizes = self.doc.sizes;
        match block {
            Block::Heading { level, mark, text } => self.heading(*level, mark, text),
            Block::Para(runs) => self.para(runs),
            Block::List(list) => self.list(list),
            Block::Code { lines, .. } => {
                lines.lines().for_each(|line| self.para(&vec![(line.to_owned(), Look::Plain)]))
            }
            Block::Told(_, blocks) => blocks.iter().for_each(|b| self.block(b)),
            Block::Notice(lines) => self.notice(lines),
            Block::Chips(chips) => {
                self.chips(chips, sizes.text, 0);
            }
            Block::Table(table) => self.table(table),
            Block::Figure(figure) => self.figure(figure),
            Block::Pen(lines) => (0..*lines).for_each(|_| self.pen()),
            Block::Together(blocks) => {
                let from = self.strips.len();
                if self.doc.floor && from > 0 {
                    self.gap(sizes.text * 0.6);
                }
                blocks.iter().for_each(|b| self.block(b));
                let last = self.strips.len().saturating_sub(1);
                self.strips.iter_mut().take(last).skip(from).for_each(|s| s.keep = true);
                if let Some(strip) = self.strips.get_mut(last).filter(|_| last >= from) {
                    strip.keep = false;
                }
                if self.doc.floor {
                    self.title_again(from);
                }
            }
            Block::Break => self.strips.push(Strip { breaks: true, ..Strip::default() }),
        }
    }

    /// On a sheet for the floor, a song that one page does not hold says its title again on the next.
    fn title_again(&mut self, from: usize) {
        let made = self.strips.get(from..).unwrap_or(&[]);
        let Some(first) = made.iter().position(|s| s.bookmark.is_some()) else { return };
        let mut again = Strip::default();
        let mut below = from + first + 1;
        // The lines of a long title are those that carry nothing but its own node.
        let node = made.get(first).and_then(|s| s.items.iter().find_map(|(n, _)| *n));
        for (n, strip) in made.iter().enumerate().skip(first) {
            if !strip.items.iter().all(|(of, _)| of.is_none() || *of == node) || strip.items.is_empty() {
                break;
            }
            again.items.extend(strip.items.iter().map(|(_, i)| (None, i.moved(0.0, again.height))));
            again.height += strip.height;
            below = from + n + 1;
        }
        self.goes_on(&mut again);
        self.heads.push(again);
        let number = self.heads.len() - 1;
        // The title itself starts the run; what follows finds it repeated.
        for strip in self.strips.iter_mut().skip(below.saturating_sub(1)).filter(|s| s.head.is_none()) {
            strip.head = Some(number);
        }
    }

    /// Three dots behind the last words, where there is room for them.
    fn goes_on(&mut self, title: &mut Strip) {
        let Some((_, Item::Words { x, y, size, width, face, ink, .. })) = title.items.last() else { return };
        let item = self.words(x + width, *y, *size, *face, *ink, " …");
        if item.bounds().2 <= self.width {
            title.items.push((None, item));
        }
    }

    pub(super) fn heading(&mut self, level: u8, mark: &str, text: &str) {
        let size = self.doc.sizes.heads.get(usize::from(level) - 1).copied().unwrap_or(self.doc.sizes.text);
        let node = self.node(Role::Heading(level, text.to_owned()), 0);
        // On a sheet for the floor a song is set off as a whole, with what stands boxed before its title.
        if !self.doc.floor && self.strips.last().is_some_and(|s| !s.breaks) {
            self.gap(size * 0.55);
        }
        let mut indent = 0.0;
        let mut first = Vec::new();
        if !mark.is_empty() {
            let words = self.words(size * 0.22, size, size, Face::Strong, Ink::White, mark);
            let Item::Words { width, .. } = words else { return };
            let w = width + size * 0.44;
            first.push((None, Item::Rect { x: 0.0, y: size * 0.18, w, h: size * 0.96, ink: Ink::Black, line: None }));
            first.push((Some(node), words));
            indent = w + size * 0.3;
        }
        let full = if mark.is_empty() { text.to_owned() } else { format!("{mark}  {text}") };
        let mut bookmark = Some((level, full));
        let lines = self.wrap(&[(text.to_owned(), Look::Strong)], size, self.width - indent);
        let last = lines.len().saturating_sub(1);
        let mut whole = size * LEADING * lines.len() as f32;
        for (n, (pieces, _)) in lines.into_iter().enumerate() {
            let mut items = std::mem::take(&mut first);
            items.extend(self.pieces(&pieces, indent, size, size, Ink::Black).into_iter().map(|i| (Some(node), i)));
            let mut height = size * LEADING;
            if level == 1 && n == last {
                let y = height;
                items.push((None, rule(self.width, y, Ink::Black, 1.5)));
                height += size * 0.2;
            }
            let bookmark = bookmark.take();
            self.strips.push(Strip { height, items, keep: true, whole, bookmark, ..Strip::default() });
            whole = 0.0;
        }
    }

    fn pieces(&mut self, pieces: &[(String, Face)], x: f32, y: f32, size: f32, ink: Ink) -> Vec<Item> {
        let mut x = x;
        let mut out = Vec::new();
        for (text, face) in pieces {
            let ink = if *face == Face::Light { Ink::Grey } else { ink };
            let item = self.words(x, y, size, *face, ink, text);
            if let Item::Words { width, .. } = item {
                x += width;
            }
            out.push(item);
        }
        out
    }

    /// A strip a line of words, the sign in a margin of its own.
    fn list(&mut self, list: &List) {
        let size = self.doc.sizes.text;
        let node = self.node(Role::List, 0);
        let margin = if list.items.iter().any(|i| i.mark != Mark::None) { size * 1.4 } else { 0.0 };
        for item in &list.items {
            let own = self.node(Role::ListItem, node);
            let left = size * 1.6 * item.depth as f32;
            let mut first = Vec::new();
            match item.mark {
                Mark::Tick => {
                    let side = size * 0.8;
                    let (x, y) = (left + size * 0.1, size * 0.3);
                    first.push((None, Item::Rect { x, y, w: side, h: side, ink: Ink::Black, line: Some(1.0) }));
                }
                Mark::None => {}
                sign => first.push((Some(own), self.words(left, size, size, Face::Strong, Ink::Black, sign.sign()))),
            }
            let x = left + margin;
            for (pieces, _) in self.wrap(&item.words, size, self.width - x) {
                let mut items = std::mem::take(&mut first);
                items.extend(self.pieces(&pieces, x, size, size, Ink::Black).into_iter().map(|i| (Some(own), i)));
                self.strips.push(Strip { height: size * LEADING, items, ..Strip::default() });
            }
            self.gap(size * 0.12);
        }
        self.gap(size * 0.25);
    }

    fn para(&mut self, runs: &Words) {
        let size = self.doc.sizes.text;
        let node = self.node(Role::Paragraph, 0);
        for (pieces, _) in self.wrap(runs, size, self.width) {
            let items = self.pieces(&pieces, 0.0, size, size, Ink::Black);
            let items = items.into_iter().map(|i| (Some(node), i)).collect();
            self.strips.push(Strip { height: size * LEADING, items, ..Strip::default() });
        }
        self.gap(size * 0.25);
    }

    /// A line a strip, so that a box higher than a page may go on over the next one.
    fn notice(&mut self, lines: &[String]) {
        let size = self.doc.sizes.text;
        let node = self.node(Role::Paragraph, 0);
        let edge = size * 0.25;
        let thick = (size * 0.06).max(1.0);
        let (half, right) = (thick / 2.0, self.width - thick / 2.0);
        let room = self.width - 2.0 * edge;
        let wrap = |line: &String| self.wrap(&[(line.clone(), Look::Strong)], size, room);
        let lines: Vec<Line> = lines.iter().flat_map(wrap).collect();
        let last = lines.len().saturating_sub(1);
        for (n, (pieces, _)) in lines.into_iter().enumerate() {
            let above = if n == 0 { edge * 0.6 } else { 0.0 };
            let low = above + size * 1.16 + if n == last { edge * 0.6 } else { 0.0 };
            let side =
                |from: (f32, f32), to: (f32, f32)| (None, Item::Line { from, to, ink: Ink::Black, width: thick });
            let mut items = vec![side((half, 0.0), (half, low)), side((right, 0.0), (right, low))];
            if n == 0 {
                items.push(side((0.0, half), (self.width, half)));
            }
            if n == last {
                items.push(side((0.0, low - half), (self.width, low - half)));
            }
            let words = self.pieces(&pieces, edge, above + size * 0.92, size, Ink::Black);
            items.extend(words.into_iter().map(|i| (Some(node), i)));
            let height = low + if n == last { size * 0.15 } else { 0.0 };
            self.strips.push(Strip { height, items, keep: true, ..Strip::default() });
        }
    }

    /// Chips side by side, in as many lines as they take; gives the height.
    pub(super) fn chips(&mut self, chips: &[Chip], size: f32, parent: usize) -> f32 {
        let list = self.node(Role::List, parent);
        let mut items = Vec::new();
        let (mut x, mut total) = (0.0, 0.0);
        for chip in chips {
            let node = self.node(Role::ListItem, list);
            let (drawn, width) = self.chip(chip, size, node);
            if x > 0.0 && x + width > self.width {
                total += self.line_of(std::mem::take(&mut items), size);
                x = 0.0;
            }
            items.extend(drawn.into_iter().map(|(n, i)| (n, i.moved(x, 0.0))));
            x += width + size * 0.55;
        }
        total + self.line_of(items, size)
    }

    fn line_of(&mut self, items: Vec<(Option<usize>, Item)>, size: f32) -> f32 {
        // A chip that alone is wider than the page brings lines of its own below its first.
        let low = items.iter().map(|(_, i)| i.bounds().3).fold(0.0, f32::max);
        let height = (size * 1.3).max(low + size * 0.12);
        self.strips.push(Strip { height, items, keep: true, ..Strip::default() });
        height
    }

    fn chip(&mut self, chip: &Chip, size: f32, node: usize) -> (Vec<(Option<usize>, Item)>, f32) {
        let mut items = Vec::new();
        let mut x = 0.0;
        let thick = (size * 0.05).max(0.8);
        if !chip.key.is_empty() {
            let words = self.words(size * 0.16, size * 0.97, size, Face::Strong, Ink::Black, &chip.key);
            let Item::Words { width, .. } = words else { return (items, 0.0) };
            let w = width + size * 0.32;
            let (half, h) = (thick / 2.0, size * 1.02 - thick);
            let frame =
                Item::Rect { x: half, y: size * 0.12 + half, w: w - thick, h, ink: Ink::Black, line: Some(thick) };
            items.push((None, frame));
            items.push((Some(node), words));
            x = w + size * 0.2;
        }
        if chip.held {
            items.push((None, held(x, size * 0.97, size)));
            x += size * 0.82;
        }
        let base = size;
        let size = if chip.small { (size * 0.35).max(9.0).min(size) } else { size };
        let room = (self.width - x).max(size);
        let mut wide: f32 = 0.0;
        let words = [(chip.beside(), Look::Light), (chip.text.clone(), Look::Plain)];
        for (n, (pieces, width)) in self.wrap(&words, size, room).into_iter().enumerate() {
            let y = base * 0.97 + size * LEADING * n as f32;
            items.extend(self.pieces(&pieces, x, y, size, Ink::Black).into_iter().map(|i| (Some(node), i)));
            wide = wide.max(width);
        }
        (items, x + wide)
    }

    fn figure(&mut self, figure: &Figure) {
        let node = self.node(Role::Figure(figure.alt.clone()), 0);
        let scale = (self.width / figure.size.0).min(1.15);
        let mut items = Vec::new();
        for shape in &figure.shapes {
            items.push((Some(node), self.shape(shape, scale)));
        }
        let height = figure.size.1 * scale + self.doc.sizes.text * 0.6;
        self.strips.push(Strip { height, items, ..Strip::default() });
    }

    fn shape(&mut self, shape: &Shape, k: f32) -> Item {
        match shape {
            Shape::Rect { x, y, w, h, ink, filled } => {
                let line = (!filled).then_some(0.8 * k);
                Item::Rect { x: x * k, y: y * k, w: w * k, h: h * k, ink: *ink, line }
            }
            Shape::Curve { points, ink, width } => {
                let points = points.iter().map(|(x, y)| (x * k, y * k)).collect();
                Item::Corners { points, ink: *ink, line: Some(width * k) }
            }
            Shape::Line { from, to, ink, width } => {
                Item::Line { from: (from.0 * k, from.1 * k), to: (to.0 * k, to.1 * k), ink: *ink, width: width * k }
            }
            Shape::Words { x, y, size, ink, strong, text } => {
                let face = if *strong { Face::Strong } else { Face::Regular };
                let half = self.fonts.width(text, face, size * k) / 2.0;
                self.words(x * k - half, y * k, size * k, face, *ink, text)
            }
            Shape::From { x, y, size, ink, strong, text } => {
                let face = if *strong { Face::Strong } else { Face::Regular };
                self.words(x * k, y * k, size * k, face, *ink, text)
            }
        }
    }

    fn pen(&mut self) {
        let size = self.doc.sizes.text.max(14.0);
        let items = vec![(None, rule(self.width, size * 1.25, Ink::Rule, 0.6))];
        self.strips.push(Strip { height: size * 1.3, items, ..Strip::default() });
    }

    /// Breaks words into lines no wider than `width` points; a word that is wider alone breaks between letters.
    pub(super) fn wrap(&self, runs: &[(String, Look)], size: f32, width: f32) -> Vec<Line> {
        let mut lines: Vec<Line> = Vec::new();
        let mut line: Line = (Vec::new(), 0.0);
        for (text, look) in runs {
            let face = look.face();
            for word in squeezed(text).split_inclusive(' ') {
                let bare = self.fonts.width(word.trim_end(), face, size);
                if line.1 > 0.0 && line.1 + bare > width {
                    lines.push(std::mem::take(&mut line));
                }
                if bare > width {
                    self.parted.set(true);
                    self.letters(word, face, size, width, &mut lines, &mut line);
                    continue;
                }
                push(&mut line, word, face, self.fonts.width(word, face, size));
            }
        }
        if line.1 > 0.0 || lines.is_empty() {
            lines.push(line);
        }
        lines.iter_mut().for_each(|line| self.trim(line, size));
        lines
    }

    /// Takes the blank off the end of a line, and its width with it.
    fn trim(&self, line: &mut Line, size: f32) {
        let Some((text, face)) = line.0.last_mut().filter(|(text, _)| text.ends_with(' ')) else { return };
        let before = self.fonts.width(text, *face, size);
        text.truncate(text.trim_end().len());
        line.1 -= before - self.fonts.width(text, *face, size);
    }

    fn letters(&self, word: &str, face: Face, size: f32, width: f32, lines: &mut Vec<Line>, line: &mut Line) {
        for letter in word.chars() {
            let text = letter.to_string();
            let wide = self.fonts.width(&text, face, size);
            if line.1 > 0.0 && line.1 + wide > width {
                lines.push(std::mem::take(line));
            }
            push(line, &text, face, wide);
        }
    }
}

fn push(line: &mut Line, text: &str, face: Face, width: f32) {
    line.1 += width;
    match line.0.last_mut().filter(|(_, f)| *f == face) {
        Some((last, _)) => last.push_str(text),
        None => line.0.push((text.to_owned(), face)),
    }
}

/// A line over the full width.
pub(super) fn rule(width: f32, y: f32, ink: Ink, thick: f32) -> Item {
    Item::Line { from: (0.0, y), to: (width, y), ink, width: thick }
}

/// The fixed sign of a part that a foot holds: a treadle seen from the side.
pub(super) fn held(x: f32, y: f32, size: f32) -> Item {
    let points = vec![(x, y), (x + size * 0.66, y), (x + size * 0.66, y - size * 0.62), (x, y - size * 0.2)];
    Item::Corners { points, ink: Ink::Black, line: None }
}
