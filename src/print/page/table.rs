//! Tables to strips: a row each, the head kept for repeating; what is too wide goes on below.

use super::placed::{Ink, Item, Role};
use super::strips::{Line, Maker, Strip, rule};
use crate::print::doc::{Cell, Look, Table};

/// Letters of a table are no smaller than this, in points: one that is wider still goes on below.
const LEAST: f32 = 7.0;

/// Room left and right of a cell's words, as a multiple of the size.
const SIDE: f32 = 0.38;

impl Maker<'_, '_> {
    pub(super) fn table(&mut self, table: &Table) {
        self.table_size = self.doc.sizes.table;
        let mut widths = self.widths(table);
        let fitting = self.table_size * self.width / widths.iter().sum::<f32>();
        if (LEAST..self.table_size).contains(&fitting) {
            self.table_size = fitting;
            widths = self.widths(table);
        }
        let keys: f32 = widths.iter().take(table.keys).sum();
        let mut columns: Vec<usize> = (0..table.keys).collect();
        let mut used = keys;
        for (column, width) in widths.iter().enumerate().skip(table.keys) {
            if used + width > self.width + 0.01 && columns.len() > table.keys {
                self.stretch(table, &columns, &widths);
                (columns, used) = ((0..table.keys).collect(), keys);
            }
            columns.push(column);
            used += width;
        }
        self.stretch(table, &columns, &widths);
    }

    /// A width for each column: what its words need; columns that wrap share what is left.
    fn widths(&self, table: &Table) -> Vec<f32> {
        let size = self.table_size;
        let natural = |column: usize| {
            let head = table.heads.get(column).map_or("", String::as_str);
            let head = head.split(' ').map(|w| self.fonts.width(w, Look::Strong.face(), size)).fold(0.0, f32::max);
            let cells = table.rows.iter().filter_map(|row| row.get(column));
            let cells = cells.map(|c| if c.tick { size } else { self.fonts.width(&c.text, c.look.face(), size) });
            let least = table.shares.get(column).copied().unwrap_or(0.0) * self.width;
            (cells.fold(head, f32::max) + 2.0 * SIDE * size).max(least)
        };
        let mut widths: Vec<f32> = (0..table.heads.len()).map(natural).collect();
        let wrapping = |c: &usize| table.wraps.contains(c);
        let fixed: f32 = widths.iter().enumerate().filter(|(c, _)| !wrapping(c)).map(|(_, w)| w).sum();
        let wished: f32 = widths.iter().enumerate().filter(|(c, _)| wrapping(c)).map(|(_, w)| w).sum();
        let left = (self.width - fixed).max(6.0 * size * table.wraps.len() as f32);
        if wished > left {
            // No column takes more than its share while another could do with less.
            let share = left / table.wraps.len() as f32;
            let modest: f32 =
                widths.iter().enumerate().filter(|(c, w)| wrapping(c) && **w <= share).map(|(_, w)| w).sum();
            let greedy = wished
                - widths.iter().enumerate().filter(|(c, w)| wrapping(c) && **w <= share).map(|(_, w)| w).sum::<f32>();
            for (column, width) in widths.iter_mut().enumerate() {
                if wrapping(&column) && *width > share {
                    *width = *width / greedy * (left - modest);
                }
            }
        }
        // A name longer than the page wraps, whatever column it stands in.
        if widths.iter().sum::<f32>() > self.width + 0.01 {
            widths.iter_mut().for_each(|w| *w = w.min(self.width * 0.6));
        }
        widths
    }

    fn stretch(&mut self, table: &Table, columns: &[usize], widths: &[f32]) {
        let size = self.table_size;
        let node = self.node(Role::Table, 0);
        let head_row = self.node(Role::Row, node);
        let heads: Vec<Cell> =
            columns.iter().map(|c| Cell::new(table.heads.get(*c).map_or("", String::as_str), Look::Strong)).collect();
        let roles: Vec<usize> = columns.iter().map(|_| self.node(Role::ColumnHead, head_row)).collect();
        let mut head = self.row(table, &heads, columns, widths, &roles, true);
        let width: f32 = columns.iter().filter_map(|c| widths.get(*c)).sum();
        for strip in &mut head {
            strip.keep = true;
        }
        if let Some(last) = head.last_mut() {
            last.items.push((None, rule(width, last.height, Ink::Black, 1.2)));
        }
        // What repeats on later pages only decorates there.
        let mut again = Strip::default();
        for strip in &head {
            again.items.extend(strip.items.iter().map(|(_, i)| (None, i.moved(0.0, again.height))));
            again.height += strip.height;
        }
        self.heads.push(again);
        let number = self.heads.len() - 1;
        self.strips.extend(head);
        for cells in &table.rows {
            let row = self.node(Role::Row, node);
            let roles: Vec<usize> = columns
                .iter()
                .map(|c| self.node(if *c < table.keys { Role::RowHead } else { Role::Data }, row))
                .collect();
            let picked: Vec<Cell> = columns.iter().map(|c| cells.get(*c).cloned().unwrap_or_default()).collect();
            let mut strips = self.row(table, &picked, columns, widths, &roles, false);
            if let Some(last) = strips.last_mut() {
                last.items.push((None, rule(width, last.height, Ink::Rule, 0.4)));
            }
            strips.iter_mut().for_each(|s| s.head = Some(number));
            self.strips.extend(strips);
        }
        self.gap(size * 1.1);
    }

    /// One row, as one strip, or more when its words would fill a page.
    fn row(
        &mut self,
        table: &Table,
        cells: &[Cell],
        columns: &[usize],
        widths: &[f32],
        roles: &[usize],
        head: bool,
    ) -> Vec<Strip> {
        let size = self.table_size;
        let lines: Vec<Vec<Line>> = cells
            .iter()
            .zip(columns)
            .map(|(cell, c)| {
                let room = widths.get(*c).copied().unwrap_or(0.0) - 2.0 * SIDE * size + 0.01;
                self.wrap(&[(cell.text.clone(), cell.look)], size, room)
            })
            .collect();
        let most = lines.iter().map(Vec::len).max().unwrap_or(1);
        let mut strips = Vec::new();
        for from in (0..most).step_by(20) {
            let count = (most - from).min(20);
            let mut items = Vec::new();
            let mut x = 0.0;
            for (((cell, lines), column), role) in cells.iter().zip(&lines).zip(columns).zip(roles) {
                let width = widths.get(*column).copied().unwrap_or(0.0);
                let left = table.left(*column);
                // Heads stand on their foot, words hang from their top.
                let down = if head { count.saturating_sub(lines.len()) } else { 0 };
                for (n, (pieces, wide)) in lines.iter().skip(from).take(count).enumerate() {
                    let wide: f32 = wide.min(width);
                    let trimmed = pieces
                        .last()
                        .map_or(0.0, |(t, f)| self.fonts.width(t, *f, size) - self.fonts.width(t.trim_end(), *f, size));
                    let at = if left { x + SIDE * size } else { x + (width - wide + trimmed) / 2.0 };
                    if cell.look == Look::Light {
                        items.push((None, dots(at, size * (1.05 + 1.2 * (n + down) as f32), wide - trimmed, size)));
                    }
                    let mut pen = at;
                    for (text, face) in pieces {
                        let y = size * (1.05 + 1.2 * (n + down) as f32);
                        let item = self.words(pen, y, size, *face, cell.look.ink(), text.trim_end());
                        pen += self.fonts.width(text, *face, size);
                        if !text.trim_end().is_empty() {
                            items.push((Some(*role), item));
                        }
                    }
                }
                if cell.tick && from == 0 {
                    let (x, y) = (x + (width - size) / 2.0, size * 0.25);
                    items.push((None, Item::Rect { x, y, w: size, h: size, ink: Ink::Black, line: Some(1.0) }));
                }
                x += width;
            }
            let height = size * (1.2 * count as f32 + 0.3);
            strips.push(Strip { height, items, ..Strip::default() });
        }
        strips
    }
}

/// What does not matter is dotted underneath, so that it is told apart on any printer.
fn dots(x: f32, y: f32, width: f32, size: f32) -> Item {
    let side = size * 0.07;
    // As many whole dots as there is room for, in the middle.
    let long = ((width - side) / (3.0 * side)).floor() * 3.0 * side + side;
    Item::Dots { x: x + (width - long) / 2.0, y: y + size * 0.17, width: long, side, ink: Ink::Rule }
}
