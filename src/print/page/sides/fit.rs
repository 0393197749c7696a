//! The largest letters in which a part fits on its sides, in as many columns as that takes.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use super::super::flow::frame_foot;
use super::super::placed::Node;
use super::super::strips::{LEADING, Maker, Strip};
use super::{Asked, Part, front, top};

/// Sizes that are tried: quarters of a point from the least to the largest.
pub(super) const LEAST_SIZE: f32 = 6.0;
const LARGEST_SIZE: f32 = 64.0;
const STEP: f32 = 0.25;
/// How many larger ones are tried where one did not fit: a longer line may save one.
const BEYOND: usize = 4;
/// In larger letters no word is parted, in points.
const WHOLE: f32 = 14.0;
/// Between columns, and between what stands in a column at most, as multiples of the size.
const GAP: f32 = 1.2;
const SPREAD: f32 = 1.6;

/// Strips by their number, each with how far it stands below the top of its column.
pub(super) type Column = Vec<(usize, f32)>;

/// A part in letters of one size.
pub(super) struct Fitted {
    pub(super) size: f32,
    /// The width of a column, the room between two, and the height of all.
    pub(super) width: f32,
    pub(super) gap: f32,
    pub(super) room: f32,
    pub(super) top: Strip,
    pub(super) strips: Vec<Strip>,
    pub(super) nodes: Vec<Node>,
    pub(super) missing: BTreeMap<char, String>,
    /// Sides, their columns.
    pub(super) sides: Vec<Vec<Column>>,
    /// For each side: `next: 12. Marl`.
    pub(super) next: Vec<Option<String>>,
}

/// The largest in which it fits on `count` sides; if none does, the least, on as many as that takes.
pub(super) fn largest(asked: &Asked<'_, '_>, part: &Part<'_>, count: usize, columns: RangeInclusive<usize>) -> Fitted {
    let size = |n: usize| LEAST_SIZE + STEP * n as f32;
    // The fewest columns in which it fits.
    let fits = |n: usize| columns.clone().find_map(|c| Trial::of(asked, part, size(n), c)?.fits(count));
    let (mut low, mut high) = (0, ((LARGEST_SIZE - LEAST_SIZE) / STEP) as usize + 1);
    let mut best = fits(low);
    while best.is_some() && high - low > 1 {
        let middle = (low + high) / 2;
        match fits(middle) {
            Some(fitted) => (low, best) = (middle, Some(fitted)),
            None => high = middle,
        }
    }
    if let Some(found) = best {
        let larger = (low + 2..=low + BEYOND).rev().filter(|n| size(*n) <= LARGEST_SIZE).find_map(fits);
        return larger.unwrap_or(found);
    }
    Trial::made(asked, part, LEAST_SIZE, *columns.end()).spill()
}

/// A part made in one size, for so many columns.
struct Trial {
    fitted: Fitted,
    columns: usize,
    /// A word had to be parted between letters.
    parted: bool,
    /// What stays together: the first strip, one past the last, its height.
    groups: Vec<(usize, usize, f32)>,
    /// Words that may have to stand at the foot of a side take so much.
    next: f32,
}

impl Trial {
    /// None where the letters are too large to try.
    fn of(asked: &Asked<'_, '_>, part: &Part<'_>, size: f32, columns: usize) -> Option<Trial> {
        let room = asked.paper.height - 2.0 * asked.paper.margin;
        let wide = (asked.paper.inner() + GAP * size) / columns as f32 - GAP * size;
        let lines = if let Part::Front(rows) = part { rows.len() } else { 0 };
        let many = lines as f32 * size > room * columns as f32 * 1.1;
        (wide >= size * 5.0 && !many).then(|| Trial::made(asked, part, size, columns))
    }

    fn made(asked: &Asked<'_, '_>, part: &Part<'_>, size: f32, columns: usize) -> Trial {
        let paper = asked.paper;
        let (doc, _) = asked.sized(size);
        let gap = GAP * size;
        let width = (paper.inner() - gap * (columns - 1) as f32) / columns as f32;
        let mut maker = Maker::new(asked.fonts, &doc, width);
        match part {
            Part::Front(rows) => front::rows(&mut maker, rows, size),
            Part::Close(blocks) => blocks.iter().for_each(|b| maker.block(b)),
        }
        let strips = std::mem::take(&mut maker.strips);
        let parted = maker.parted.get();
        maker.width = paper.inner();
        let top = top(&mut maker, asked.sides, part, size);
        let foot = frame_foot(&mut maker, 88, 88).height + super::SMALL * 0.5;
        let room = (paper.height - 2.0 * paper.margin - top.height - foot).max(size);
        let next = if matches!(part, Part::Close(_)) { size * LEADING } else { 0.0 };
        let groups = groups(&strips);
        let (nodes, missing) = (maker.nodes, maker.missing);
        let fitted =
            Fitted { size, width, gap, room, top, strips, nodes, missing, sides: Vec::new(), next: Vec::new() };
        Trial { fitted, columns, parted, groups, next }
    }

    /// The sides, when they are no more than `count`.
    fn fits(mut self, count: usize) -> Option<Fitted> {
        let size = self.fitted.size;
        if self.parted && size > WHOLE {
            return None;
        }
        let room = self.fitted.room - if count > 1 { self.next } else { 0.0 };
        let most = count * self.columns;
        let fits = |height: f32| self.pack(height).filter(|columns| columns.len() <= most);
        fits(room)?;
        // The least height that will do, so that the columns end alike.
        let (mut low, mut high) = (0.0, room);
        for _ in 0..12 {
            let middle = (low + high) / 2.0;
            if fits(middle).is_some() { high = middle } else { low = middle }
        }
        let columns = fits(high)?;
        self.set(columns, room);
        Some(self.fitted)
    }

    /// As many sides as it takes, what is higher than one parted.
    fn spill(mut self) -> Fitted {
        let room = self.fitted.room - self.next;
        let strips = &self.fitted.strips;
        let parted = self.groups.iter().flat_map(|(from, to, height)| {
            let each = (*from..*to).map(|n| (n, n + 1, strips.get(n).map_or(0.0, |s| s.height)));
            if *height > room { each.collect() } else { vec![(*from, *to, *height)] }
        });
        self.groups = parted.collect();
        let columns = self.pack(room).unwrap_or_default();
        self.set(columns, room);
        self.fitted
    }

    /// Groups by column, each column no higher than that; none where a group is.
    fn pack(&self, height: f32) -> Option<Vec<Vec<(usize, usize, f32)>>> {
        let mut columns = vec![Vec::new()];
        let mut used = 0.0;
        for group in &self.groups {
            if group.2 > height {
                return None;
            }
            if used + group.2 > height {
                columns.push(Vec::new());
                used = 0.0;
            }
            used += group.2;
            columns.last_mut()?.push(*group);
        }
        Some(columns)
    }

    /// Spreads each column over the height, and names what the next side begins with.
    fn set(&mut self, columns: Vec<Vec<(usize, usize, f32)>>, room: f32) {
        let spread = |column: &Vec<(usize, usize, f32)>| {
            let used: f32 = column.iter().map(|g| g.2).sum();
            let gaps = column.len().saturating_sub(1).max(1) as f32;
            let gap = ((room - used) / gaps).clamp(0.0, SPREAD * self.fitted.size);
            let mut y = 0.0;
            let mut out = Column::new();
            for (from, to, height) in column {
                let mut at = y;
                for number in *from..*to {
                    out.push((number, at));
                    at += self.fitted.strips.get(number).map_or(0.0, |s| s.height);
                }
                y += height + gap;
            }
            out
        };
        let columns: Vec<Column> = columns.iter().map(spread).collect();
        let sides: Vec<Vec<Column>> = columns.chunks(self.columns).map(<[Column]>::to_vec).collect();
        let first = |side: &Vec<Column>| {
            let strips = side.iter().flatten().filter_map(|(n, _)| self.fitted.strips.get(*n));
            strips.filter_map(|s| s.bookmark.as_ref()).map(|(_, text)| format!("next: {text}")).next()
        };
        self.fitted.next = sides.iter().skip(1).map(first).collect();
        self.fitted.sides = sides;
    }
}

/// What stays together, without the room around it.
fn groups(strips: &[Strip]) -> Vec<(usize, usize, f32)> {
    let mut out = Vec::new();
    let mut from = 0;
    for (n, strip) in strips.iter().enumerate() {
        if strip.keep && n + 1 < strips.len() {
            continue;
        }
        let inked = |n: &usize| strips.get(*n).is_some_and(|s| !s.items.is_empty());
        let mut own = (from..n + 1).filter(inked);
        if let Some(first) = own.next() {
            let last = own.next_back().unwrap_or(first);
            let height = strips.get(first..=last).unwrap_or(&[]).iter().map(|s| s.height).sum();
            out.push((first, last + 1, height));
        }
        from = n + 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::print::doc::{Doc, Row, Sides};
    use crate::print::page::{Fonts, Paper};

    /// Every larger size is tried, in every number of columns: none fits.
    #[test]
    fn no_larger_letters_fit() {
        let fonts = Fonts::new(None).unwrap();
        let title = |n: usize| "Half of a Long Way Home and Back".chars().take(5 + n * 7 % 24).collect();
        for songs in [1, 4, 9, 22, 40, 75] {
            let song = |n: usize| Row::Song {
                number: n + 1,
                title: title(n),
                tempo: (80 + n).to_string(),
                bank: (n + 1).to_string(),
                change: if n % 5 == 4 { "take slab, tune to drop D".to_owned() } else { String::new() },
            };
            let front: Vec<Row> = (0..songs).map(song).collect();
            let name = "a night".to_owned();
            let sides = Sides { count: 2, name, safe: None, front: front.clone(), from: 0, asked: None, minutes: 20.0 };
            let doc = Doc::default();
            for paper in [Paper::a4(), Paper::letter().landscape()] {
                let asked = Asked { doc: &doc, sides: &sides, paper, fonts: &fonts, distance: None };
                let part = Part::Front(&front);
                let found = largest(&asked, &part, 1, super::super::STANDING);
                assert_eq!(found.sides.len(), 1);
                let mut size = found.size + STEP;
                while size <= LARGEST_SIZE {
                    for columns in super::super::STANDING {
                        assert!(
                            Trial::of(&asked, &part, size, columns).and_then(|t| t.fits(1)).is_none(),
                            "{songs}: {size} fits"
                        );
                    }
                    size += STEP;
                }
            }
        }
    }
}
