//! Labels as strips of tape, true to size, with marks to cut by.

use super::Label;
use crate::print::page::fonts::Face;
use crate::print::page::paper::MM;
use crate::print::page::placed::{Bookmark, Node, Role};
use crate::print::page::{Fonts, Ink, Item, Laid, Page, Paper};

/// Room left and right of a label's words, in millimetres.
const SIDE: f32 = 2.0;
/// How far the marks to cut by stand off the tape, in millimetres.
const MARK: f32 = 2.5;

/// Lays the labels on tapes of these widths in millimetres, `copies` of each.
pub fn lay(
    labels: &[Label],
    title: &str,
    small: &str,
    tapes: &[f32],
    copies: u16,
    paper: Paper,
    fonts: &Fonts<'_>,
) -> Laid {
    let laid = Laid {
        paper,
        title: title.to_owned(),
        pages: vec![Page::default()],
        nodes: vec![Node { role: Role::Document, parent: 0 }],
        bookmarks: Vec::new(),
        missing: Default::default(),
        told: Vec::new(),
    };
    let mut sheet = Sheet { laid, fonts, y: paper.margin };
    let line = "Print at 100 %, not fitted to the page. This line is 100 mm long:";
    sheet.heading(title, 16.0);
    sheet.words(paper.margin, 9.0, line, Role::Paragraph);
    sheet.y += 16.0;
    sheet.draw(Item::Line {
        from: (paper.margin, sheet.y),
        to: (paper.margin + 100.0 * MM, sheet.y),
        ink: Ink::Black,
        width: 1.0,
    });
    sheet.y += 14.0;
    // Leads come last: there are many.
    let short = tapes.iter().flat_map(|tape| [(tape, "loop", "loops"), (tape, "panel", "panel")]);
    for (tape, kind, title) in short.chain(tapes.iter().map(|tape| (tape, "lead", "both ends of each lead"))) {
        let texts: Vec<&str> = labels.iter().filter(|l| l.kind == kind).map(|l| l.text.as_str()).collect();
        if texts.is_empty() {
            continue;
        }
        let texts: Vec<&str> = texts.iter().flat_map(|t| std::iter::repeat_n(*t, usize::from(copies))).collect();
        sheet.strips(&texts, *tape, &format!("{title}, tape of {tape} mm"));
    }
    sheet.foot(small);
    sheet.laid
}

struct Sheet<'f, 'd> {
    laid: Laid,
    fonts: &'f Fonts<'d>,
    y: f32,
}

impl Sheet<'_, '_> {
    fn draw(&mut self, item: Item) {
        if let Some(page) = self.laid.pages.last_mut() {
            page.items.push((None, item));
        }
    }

    fn node(&mut self, role: Role) -> usize {
        self.laid.nodes.push(Node { role, parent: 0 });
        self.laid.nodes.len() - 1
    }

    /// Words whose base line stands one size below the pen.
    fn words(&mut self, x: f32, size: f32, text: &str, role: Role) {
        let strong = matches!(role, Role::Heading(..));
        let node = self.node(role);
        self.put(node, x, self.y + size, size, if strong { Face::Strong } else { Face::Regular }, text);
    }

    fn put(&mut self, node: usize, x: f32, y: f32, size: f32, face: Face, text: &str) {
        if let Some(letter) = self.fonts.lacks(text) {
            self.laid.missing.entry(letter).or_insert_with(|| text.to_owned());
        }
        let width = self.fonts.width(text, face, size);
        let item = Item::Words { x, y, size, width, face, ink: Ink::Black, text: text.to_owned() };
        if let Some(page) = self.laid.pages.last_mut() {
            page.items.push((Some(node), item));
        }
    }

    fn heading(&mut self, text: &str, size: f32) {
        let page = self.laid.pages.len() - 1;
        let level = if page == 0 && self.laid.bookmarks.is_empty() { 1 } else { 2 };
        self.laid.bookmarks.push(Bookmark { level, text: text.to_owned(), page, y: self.y });
        self.words(self.laid.paper.margin, size, text, Role::Heading(level, text.to_owned()));
        self.y += size * 1.5;
    }

    fn room(&mut self, height: f32) {
        if self.y + height > self.laid.paper.height - self.laid.paper.margin - 14.0 {
            self.laid.pages.push(Page::default());
            // Marks to cut by stand above the tape.
            self.y = self.laid.paper.margin + MARK * MM;
        }
    }

    /// Labels side by side; a strip that is full goes on below.
    fn strips(&mut self, texts: &[&str], tape: f32, title: &str) {
        let (height, mark, side) = (tape * MM, MARK * MM, SIDE * MM);
        self.room(20.0 + height + 2.0 * mark);
        self.heading(title, 11.0);
        let left = self.laid.paper.margin;
        let right = self.laid.paper.width - left;
        let list = self.node(Role::Paragraph);
        // Letters fill half of the tape: its edges curl, and cutters are not exact (common practice, no source).
        let capital = self.fonts.height('H', Face::Strong).unwrap_or(0.7);
        let size = height * 0.5 / capital;
        let mut x = f32::MAX;
        for text in texts {
            let natural = self.fonts.width(text, Face::Strong, size) + 2.0 * side;
            let (wide, size) = if natural > right - left {
                (right - left, size * (right - left - 2.0 * side) / (natural - 2.0 * side))
            } else {
                (natural, size)
            };
            if x.max(left) + wide > right + 0.01 {
                let first = x == f32::MAX;
                self.y += if first { mark } else { height + 2.5 * mark };
                self.room(height + mark);
                x = left;
                self.cut(x, height);
            }
            let base = self.y + height / 2.0 + capital * size / 2.0;
            self.put(list, x + side, base, size, Face::Strong, text);
            for y in [self.y, self.y + height] {
                self.draw(Item::Line { from: (x, y), to: (x + wide, y), ink: Ink::Rule, width: 0.3 });
            }
            x += wide;
            self.cut(x, height);
        }
        self.y += height + 2.0 * mark + 8.0;
    }

    /// A mark above the tape and one below it.
    fn cut(&mut self, x: f32, height: f32) {
        let (from, to) = (0.4 * MM, (MARK - 0.4) * MM);
        let y = self.y;
        self.draw(Item::Line { from: (x, y - to), to: (x, y - from), ink: Ink::Black, width: 0.5 });
        let low = y + height;
        self.draw(Item::Line { from: (x, low + from), to: (x, low + to), ink: Ink::Black, width: 0.5 });
    }

    fn foot(&mut self, small: &str) {
        let count = self.laid.pages.len();
        let paper = self.laid.paper;
        for (n, page) in self.laid.pages.iter_mut().enumerate() {
            let text = format!("{small} · page {} of {count}", n + 1);
            let width = self.fonts.width(&text, Face::Regular, 7.5);
            let y = paper.height - paper.margin;
            let item = Item::Words { x: paper.margin, y, size: 7.5, width, face: Face::Regular, ink: Ink::Black, text };
            page.items.push((None, item));
        }
    }
}
