//! Pages as they are placed: every letter and line has its place, in points from the top left corner.

use std::collections::BTreeMap;

use super::fonts::Face;
use super::paper::Paper;

/// A colour. Words are black, white or grey (7:1 and better on white); fills and lines may be blue or vermilion of the
/// palette of Okabe and Ito, "Color universal design" (2008), at 3:1 and better on white (WCAG 2.2, 1.4.11).
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ink {
    Black,
    White,
    /// For what does not matter: 7.0:1.
    Grey,
    /// For thin lines of tables: 4.5:1.
    Rule,
    Blue,
    Vermilion,
}

impl Ink {
    /// Red, green and blue, 0 to 255 (sRGB).
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Black => [0, 0, 0],
            Ink::White => [255, 255, 255],
            Ink::Grey => [0x59, 0x59, 0x59],
            Ink::Rule => [0x76, 0x76, 0x76],
            Ink::Blue => [0x00, 0x72, 0xb2],
            Ink::Vermilion => [0xd5, 0x5e, 0x00],
        }
    }

    /// `#0072b2`.
    pub fn hex(self) -> String {
        let [r, g, b] = self.rgb();
        format!("#{r:02x}{g:02x}{b:02x}")
    }
}

/// Something placed.
#[derive(Clone, PartialEq, Debug)]
pub enum Item {
    /// Words on a base line.
    Words { x: f32, y: f32, size: f32, width: f32, face: Face, ink: Ink, text: String },
    /// A rectangle, filled, or drawn with a line of this width.
    Rect { x: f32, y: f32, w: f32, h: f32, ink: Ink, line: Option<f32> },
    /// A line.
    Line { from: (f32, f32), to: (f32, f32), ink: Ink, width: f32 },
    /// A row of square dots, two dots' width apart.
    Dots { x: f32, y: f32, width: f32, side: f32, ink: Ink },
    /// A filled shape with corners; or a line of this width through them.
    Corners { points: Vec<(f32, f32)>, ink: Ink, line: Option<f32> },
}

impl Item {
    /// The same, moved.
    pub fn moved(&self, dx: f32, dy: f32) -> Item {
        let mut item = self.clone();
        match &mut item {
            Item::Words { x, y, .. } | Item::Rect { x, y, .. } | Item::Dots { x, y, .. } => {
                (*x, *y) = (*x + dx, *y + dy)
            }
            Item::Line { from, to, .. } => {
                (*from, *to) = ((from.0 + dx, from.1 + dy), (to.0 + dx, to.1 + dy));
            }
            Item::Corners { points, .. } => points.iter_mut().for_each(|p| *p = (p.0 + dx, p.1 + dy)),
        }
        item
    }

    /// Left, top, right and bottom of what is inked, in points. Words reach from the top of the capitals to the
    /// foot of `g`.
    pub fn bounds(&self) -> (f32, f32, f32, f32) {
        match self {
            Item::Words { x, y, size, width, .. } => (*x, y - 0.70 * size, x + width, y + 0.20 * size),
            Item::Rect { x, y, w, h, .. } => (*x, *y, x + w, y + h),
            Item::Dots { x, y, width, side, .. } => (*x, *y, x + width, y + side),
            Item::Line { from, to, .. } => (from.0.min(to.0), from.1.min(to.1), from.0.max(to.0), from.1.max(to.1)),
            Item::Corners { points, .. } => points.iter().fold((f32::MAX, f32::MAX, f32::MIN, f32::MIN), |b, p| {
                (b.0.min(p.0), b.1.min(p.1), b.2.max(p.0), b.3.max(p.1))
            }),
        }
    }
}

/// What a piece of a page is, for who listens to it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Role {
    Document,
    Heading(u8, String),
    Paragraph,
    List,
    ListItem,
    Table,
    Row,
    ColumnHead,
    RowHead,
    Data,
    Figure(String),
}

/// A node of the tree that tags are made of.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Node {
    /// What it is.
    pub role: Role,
    /// What it stands in; the document for itself.
    pub parent: usize,
}

/// A page.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Page {
    /// What is placed, each with its node; none for what only decorates or repeats.
    pub items: Vec<(Option<usize>, Item)>,
}

/// A bookmark.
#[derive(Clone, PartialEq, Debug)]
pub struct Bookmark {
    /// Its level, from 1.
    pub level: u8,
    /// Its words.
    pub text: String,
    /// Its page, from 0.
    pub page: usize,
    /// Its height on the page, in points from the top.
    pub y: f32,
}

/// A document, placed.
#[derive(Clone, Debug)]
pub struct Laid {
    /// The paper.
    pub paper: Paper,
    /// The title.
    pub title: String,
    /// The pages.
    pub pages: Vec<Page>,
    /// The tree of tags; the first is the document.
    pub nodes: Vec<Node>,
    /// Bookmarks in order.
    pub bookmarks: Vec<Bookmark>,
    /// Letters that no font has, each with a text that holds it.
    pub missing: BTreeMap<char, String>,
    /// What whoever prints it must hear.
    pub told: Vec<String>,
}

impl Laid {
    /// Several documents as one file, one after the other; each keeps its own count of pages.
    pub fn join(all: Vec<Laid>) -> Option<Laid> {
        let mut all = all.into_iter();
        let mut whole = all.next()?;
        for mut next in all {
            let (nodes, pages) = (whole.nodes.len(), whole.pages.len());
            // The root of what is added becomes a part of the whole.
            whole.nodes.extend(next.nodes.drain(..).enumerate().map(|(n, mut node)| {
                node.parent = if n == 0 { 0 } else { node.parent + nodes };
                node
            }));
            for page in &mut next.pages {
                page.items.iter_mut().for_each(|(node, _)| *node = node.map(|n| n + nodes));
            }
            whole.pages.append(&mut next.pages);
            whole.bookmarks.extend(next.bookmarks.into_iter().map(|b| Bookmark { page: b.page + pages, ..b }));
            whole.missing.append(&mut next.missing);
            whole.told.append(&mut next.told);
        }
        Some(whole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as WCAG 2.2 defines them.
    fn contrast(a: Ink, b: Ink) -> f64 {
        let channel = |c: u8| {
            let c = f64::from(c) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        let light = |ink: Ink| {
            let [r, g, b] = ink.rgb().map(channel);
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (light(a), light(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn words_reach_seven_to_one_and_lines_three() {
        assert!((contrast(Ink::Black, Ink::White) - 21.0).abs() < 0.01);
        assert!(contrast(Ink::Grey, Ink::White) >= 7.0);
        for ink in [Ink::Blue, Ink::Vermilion, Ink::Rule] {
            assert!(contrast(ink, Ink::White) >= 3.0, "{ink:?}");
        }
    }
}
