//! Placed pages to PDF: tagged, with title, language and bookmarks; the fonts embedded and cut to what is used.

use std::num::NonZeroU16;

use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Rect};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, Node as Leaf, SpanTag, TableHeaderScope, Tag,
    TagGroup, TagKind, TagTree,
};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Data, Document, SerializeSettings};

use super::fonts::{EMBEDDED, Face, Fonts};
use super::placed::{Bookmark, Ink, Item, Laid, Role};

/// The whole file. The error says what the writer could not do.
pub fn write(laid: &Laid, fonts: &Fonts<'_>, given: Option<&[u8]>) -> Result<Vec<u8>, String> {
    let mut pens = Vec::new();
    for data in EMBEDDED.iter().map(|d| Data::from(*d)).chain(given.map(|d| Data::from(d.to_vec()))) {
        pens.push(Font::new(data, 0).ok_or("a font cannot be embedded")?);
    }
    let settings = SerializeSettings { enable_tagging: true, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let title = laid.title.clone();
    let creator = "tipring".to_owned();
    document.set_metadata(Metadata::new().title(title).language("en".to_owned()).creator(creator));
    let mut leaves: Vec<Vec<Identifier>> = vec![Vec::new(); laid.nodes.len()];
    for page in &laid.pages {
        let size = PageSettings::from_wh(laid.paper.width, laid.paper.height).ok_or("the paper has no size")?;
        let mut sheet = document.start_page_with(size);
        let mut surface = sheet.surface();
        let mut rest = page.items.as_slice();
        while let Some((node, _)) = rest.first() {
            let count = rest.iter().take_while(|(n, _)| n == node).count();
            let (same, after) = rest.split_at(count);
            rest = after;
            let artifact = Artifact::with_kind(ArtifactType::Layout);
            let tag = if node.is_some() { ContentTag::Span(SpanTag::empty()) } else { ContentTag::Artifact(artifact) };
            let leaf = surface.start_tagged(tag);
            if let Some(of_node) = node.and_then(|n| leaves.get_mut(n)) {
                of_node.push(leaf);
            }
            same.iter().for_each(|(_, item)| draw(&mut surface, item, fonts, &pens));
            surface.end_tagged();
        }
        surface.finish();
        sheet.finish();
    }
    document.set_tag_tree(tree(laid, &leaves));
    document.set_outline(outline(&laid.bookmarks));
    document.finish().map_err(|e| format!("the PDF could not be written: {e:?}"))
}

fn draw(surface: &mut Surface<'_>, item: &Item, fonts: &Fonts<'_>, pens: &[Font]) {
    match item {
        Item::Words { x, y, size, face, ink, text, .. } => {
            surface.set_fill(Some(fill(*ink)));
            surface.set_stroke(None);
            let mut x = *x;
            for stretch in fonts.shape(text, *face).iter() {
                let Some(font) = pens.get(stretch.face as usize) else { continue };
                let letters: Vec<KrillaGlyph> = stretch.letters.iter().map(glyph).collect();
                surface.draw_glyphs(Point::from_xy(x, *y), &letters, font.clone(), &stretch.text, *size, false);
                x += letters.iter().map(|g| g.x_advance * size).sum::<f32>();
            }
        }
        Item::Rect { x, y, w, h, ink, line } => {
            let Some(rect) = Rect::from_xywh(*x, *y, *w, *h) else { return };
            let mut path = PathBuilder::new();
            path.push_rect(rect);
            trace(surface, path.finish(), *ink, *line);
        }
        Item::Line { from, to, ink, width } => {
            let mut path = PathBuilder::new();
            path.move_to(from.0, from.1);
            path.line_to(to.0, to.1);
            trace(surface, path.finish(), *ink, Some(*width));
        }
        Item::Dots { x, y, width, side, ink } => {
            let mut path = PathBuilder::new();
            path.move_to(*x, y + side / 2.0);
            path.line_to(x + width, y + side / 2.0);
            let Some(path) = path.finish() else { return };
            let dash = Some(StrokeDash { array: vec![*side, 2.0 * side], offset: 0.0 });
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke { paint: colour(*ink).into(), width: *side, dash, ..Stroke::default() }));
            surface.draw_path(&path);
        }
        Item::Corners { points, ink, line } => {
            let mut path = PathBuilder::new();
            for (n, (x, y)) in points.iter().enumerate() {
                if n == 0 { path.move_to(*x, *y) } else { path.line_to(*x, *y) }
            }
            if line.is_none() {
                path.close();
            }
            trace(surface, path.finish(), *ink, *line);
        }
    }
}

fn trace(surface: &mut Surface<'_>, path: Option<Path>, ink: Ink, line: Option<f32>) {
    let Some(path) = path else { return };
    surface.set_fill(line.is_none().then(|| fill(ink)));
    surface.set_stroke(line.map(|width| Stroke { paint: colour(ink).into(), width, ..Stroke::default() }));
    surface.draw_path(&path);
}

fn glyph(shaped: &super::fonts::Shaped) -> KrillaGlyph {
    KrillaGlyph {
        glyph_id: GlyphId::new(shaped.id),
        text_range: shaped.range.clone(),
        x_advance: shaped.advance,
        x_offset: shaped.offset.0,
        y_offset: shaped.offset.1,
        y_advance: 0.0,
        location: None,
    }
}

fn colour(ink: Ink) -> rgb::Color {
    let [r, g, b] = ink.rgb();
    rgb::Color::new(r, g, b)
}

fn fill(ink: Ink) -> Fill {
    Fill { paint: colour(ink).into(), opacity: NormalizedF32::ONE, ..Fill::default() }
}

/// The tree of tags: each node with its own pieces first, then its children in order.
fn tree(laid: &Laid, leaves: &[Vec<Identifier>]) -> TagTree {
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); laid.nodes.len()];
    for (number, node) in laid.nodes.iter().enumerate().skip(1) {
        if let Some(of_parent) = children.get_mut(node.parent) {
            of_parent.push(number);
        }
    }
    let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
    for child in children.first().into_iter().flatten() {
        if let Some(group) = group(laid, leaves, &children, *child) {
            tree.push(group);
        }
    }
    tree
}

fn group(laid: &Laid, leaves: &[Vec<Identifier>], children: &[Vec<usize>], number: usize) -> Option<TagGroup> {
    let own = leaves.get(number)?;
    let below = children.get(number)?.iter().filter_map(|child| group(laid, leaves, children, *child));
    let below: Vec<TagGroup> = below.collect();
    if own.is_empty() && below.is_empty() {
        return None;
    }
    let kind: TagKind = match &laid.nodes.get(number)?.role {
        Role::Document => Tag::Part.into(),
        Role::Heading(level, title) => Tag::Hn(NonZeroU16::new(u16::from(*level))?, Some(title.clone())).into(),
        Role::Paragraph => Tag::P.into(),
        Role::List => Tag::L(ListNumbering::None).into(),
        Role::ListItem => Tag::LI.into(),
        Role::Table => Tag::Table.into(),
        Role::Row => Tag::TR.into(),
        Role::ColumnHead => Tag::TH(TableHeaderScope::Column).into(),
        Role::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Role::Data => Tag::TD.into(),
        Role::Figure(alt) => Tag::Figure(Some(alt.clone())).into(),
    };
    let mut group = TagGroup::new(kind);
    own.iter().for_each(|leaf| group.push(Leaf::from(*leaf)));
    below.into_iter().for_each(|child| group.push(child));
    Some(group)
}

/// Bookmarks, each below the last one of a lower level.
fn outline(bookmarks: &[Bookmark]) -> Outline {
    let mut outline = Outline::new();
    let mut open: Vec<(u8, OutlineNode)> = Vec::new();
    for mark in bookmarks {
        while open.last().is_some_and(|(level, _)| *level >= mark.level) {
            shut(&mut open, &mut outline);
        }
        let there = XyzDestination::new(mark.page, Point::from_xy(0.0, mark.y));
        open.push((mark.level, OutlineNode::new(mark.text.clone(), there)));
    }
    while !open.is_empty() {
        shut(&mut open, &mut outline);
    }
    outline
}

fn shut(open: &mut Vec<(u8, OutlineNode)>, outline: &mut Outline) {
    let Some((_, node)) = open.pop() else { return };
    match open.last_mut() {
        Some((_, parent)) => parent.push_child(node),
        None => outline.push_child(node),
    }
}

/// The number of a face among the embedded fonts.
const _: () = assert!(Face::Given as usize == EMBEDDED.len());
