//! Strips to pages: what belongs together stays together, heads of tables repeat, every page says which it is.

use super::fonts::{Face, Fonts};
use super::paper::Paper;
use super::placed::{Bookmark, Ink, Item, Laid, Page};
use super::strips::{LEADING, Maker, Strip, rule};
use crate::print::doc::{Chip, Doc, Look};

/// Places a document on paper.
pub fn lay(doc: &Doc, paper: Paper, fonts: &Fonts<'_>) -> Laid {
    let mut maker = Maker::new(fonts, doc, paper.inner());
    if doc.top.is_empty() {
        maker.heading(1, "", &doc.title);
    }
    doc.blocks.iter().for_each(|b| maker.block(b));
    let strips = std::mem::take(&mut maker.strips);
    let top = frame_top(&mut maker, 88, 88);
    let foot = frame_foot(&mut maker, 88, 88);
    let gap = |height: f32| if height > 0.0 { doc.sizes.text * 0.4 } else { 0.0 };
    let heights = (top.height + gap(top.height), foot.height + gap(foot.height));
    let mut stack = Stack {
        pages: vec![Page::default()],
        bookmarks: Vec::new(),
        paper,
        top: paper.margin + heights.0,
        bottom: paper.height - paper.margin - heights.1,
        y: paper.margin + heights.0,
        table: None,
        pen: if doc.lines { doc.sizes.text.max(14.0) * 1.3 } else { 0.0 },
        ruled: 0,
    };
    stack.place(&strips, &maker.heads);
    if doc.lines {
        stack.one_more(stack.pen);
        stack.rule_rest(stack.pen);
    }
    let count = stack.pages.len();
    for number in 1..=count {
        let top = frame_top(&mut maker, number, count);
        let foot = frame_foot(&mut maker, number, count);
        let Some(page) = stack.pages.get_mut(number - 1) else { continue };
        let below = paper.height - paper.margin - foot.height;
        for (strip, y) in [(&top, paper.margin), (&foot, below)] {
            page.items.extend(strip.items.iter().map(|(_, i)| (None, i.moved(paper.margin, y))));
        }
    }
    Laid {
        paper,
        title: doc.title.clone(),
        pages: stack.pages,
        nodes: maker.nodes,
        bookmarks: stack.bookmarks,
        missing: maker.missing,
        told: Vec::new(),
    }
}

struct Stack {
    pages: Vec<Page>,
    bookmarks: Vec<Bookmark>,
    paper: Paper,
    top: f32,
    bottom: f32,
    y: f32,
    table: Option<usize>,
    /// The distance of ruled lines, when what is left of a page is ruled; else 0.
    pen: f32,
    /// The most lines that were ruled on one page.
    ruled: usize,
}

impl Stack {
    fn place(&mut self, strips: &[Strip], heads: &[Strip]) {
        let mut rest = strips;
        while !rest.is_empty() {
            let kept = rest.iter().position(|s| !s.keep).map_or(rest.len(), |n| n + 1);
            let (group, after) = rest.split_at(kept);
            rest = after;
            let height: f32 = group.iter().map(|s| s.height).sum();
            if group.iter().any(|s| s.breaks) && self.y > self.top {
                self.page();
            }
            // What one page cannot hold starts on a fresh one too, and goes on over the next.
            let inked = group.iter().any(|s| !s.items.is_empty());
            if inked && self.y > self.top && self.y + height > self.bottom {
                self.page();
            }
            for strip in group {
                self.strip(strip, heads);
            }
        }
    }

    fn strip(&mut self, strip: &Strip, heads: &[Strip]) {
        if self.y + strip.height.max(strip.whole) > self.bottom && self.y > self.top {
            // Nothing but room at the foot of a page is not carried over.
            if strip.items.is_empty() {
                return;
            }
            self.page();
        }
        let fresh = self.y <= self.top;
        if fresh && strip.items.is_empty() && !strip.breaks {
            return;
        }
        let head = strip.head.filter(|h| fresh && self.table == Some(*h)).and_then(|h| heads.get(h));
        if let Some(head) = head {
            self.put(head, true);
        }
        self.table = strip.head.or(if strip.keep { self.table } else { None });
        if let Some((level, text)) = &strip.bookmark {
            let page = self.pages.len() - 1;
            self.bookmarks.push(Bookmark { level: *level, text: text.clone(), page, y: self.y });
        }
        self.put(strip, false);
    }

    fn put(&mut self, strip: &Strip, again: bool) {
        let (x, y) = (self.paper.margin, self.y);
        if let Some(page) = self.pages.last_mut() {
            let node = |n: &Option<usize>| if again { None } else { *n };
            page.items.extend(strip.items.iter().map(|(n, i)| (node(n), i.moved(x, y))));
        }
        self.y += strip.height;
    }

    fn page(&mut self) {
        if self.pen > 0.0 {
            self.rule_rest(self.pen);
        }
        self.pages.push(Page::default());
        self.y = self.top;
    }

    /// Some page has room for two lines of a pen, or one page follows.
    fn one_more(&mut self, step: f32) {
        if self.ruled < 2 && self.y + 2.0 * step > self.bottom {
            self.page();
        }
    }

    /// Rules what is left of a page for a pen.
    fn rule_rest(&mut self, step: f32) {
        let (from, to) = (self.paper.margin, self.paper.width - self.paper.margin);
        let Some(page) = self.pages.last_mut() else { return };
        let mut y = self.y + step;
        let mut lines = 0;
        // The last line keeps clear of the foot.
        while y < self.bottom - step * 0.2 {
            page.items.push((None, Item::Line { from: (from, y), to: (to, y), ink: Ink::Rule, width: 0.6 }));
            y += step;
            lines += 1;
        }
        self.ruled = self.ruled.max(lines);
    }
}

/// The line at the top: what the document says, page n of m, and that it is a draft.
pub(super) fn frame_top(maker: &mut Maker<'_, '_>, number: usize, count: usize) -> Strip {
    let doc = maker.doc;
    let mut strip = Strip::default();
    if doc.draft {
        let size = doc.sizes.text.max(12.0);
        let words = "DRAFT: the book has errors";
        let item = maker.words(size * 0.3, size, size, Face::Strong, Ink::White, words);
        let frame = Item::Rect { x: 0.0, y: 0.0, w: maker.width, h: size * 1.3, ink: Ink::Black, line: None };
        strip.items = vec![(None, frame), (None, item)];
        strip.height = size * 1.4;
    }
    if doc.top.is_empty() {
        return strip;
    }
    let mut chips = doc.top.clone();
    chips.insert(1.min(chips.len()), Chip { text: format!("{number}/{count}"), ..Chip::default() });
    let from = maker.strips.len();
    maker.chips(&chips, doc.sizes.text, 0);
    for made in maker.strips.split_off(from) {
        strip.items.extend(made.items.iter().map(|(_, i)| (None, i.moved(0.0, strip.height))));
        strip.height += made.height;
    }
    strip.items.push((None, rule(maker.width, strip.height + doc.sizes.text * 0.1, Ink::Black, 1.5)));
    strip.height += doc.sizes.text * 0.15;
    strip
}

/// The foot: the line that matters, then the small print with the page.
pub(super) fn frame_foot(maker: &mut Maker<'_, '_>, number: usize, count: usize) -> Strip {
    let doc = maker.doc;
    let mut strip = Strip::default();
    if !doc.foot.is_empty() {
        let size = doc.sizes.text;
        strip.items.push((None, rule(maker.width, 0.0, Ink::Black, 1.5)));
        for (pieces, _) in maker.wrap(&[(doc.foot.clone(), Look::Strong)], size, maker.width) {
            for (text, face) in pieces {
                let item = maker.words(0.0, strip.height + size, size, face, Ink::Black, &text);
                strip.items.push((None, item));
            }
            strip.height += size * LEADING;
        }
    }
    let size = doc.sizes.small;
    let pages = format!("page {number} of {count}");
    let wide = maker.fonts.width(&pages, Face::Regular, size);
    strip.height += size * 0.4;
    for (pieces, _) in maker.wrap(&[(doc.small.clone(), Look::Plain)], size, maker.width - wide - size) {
        for (text, face) in pieces {
            let item = maker.words(0.0, strip.height + size, size, face, Ink::Black, &text);
            strip.items.push((None, item));
        }
        strip.height += size * LEADING;
    }
    let y = strip.height - size * (LEADING - 1.0);
    let item = maker.words(maker.width - wide, y, size, Face::Regular, Ink::Black, &pages);
    strip.items.push((None, item));
    strip
}
