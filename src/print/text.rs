//! The truth table for a terminal or a printer: 80 columns, in panels where a board is wider than that.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::Compiled;
use crate::book::Slot;
use crate::fill::Preset;
use crate::ids::{ColumnId, Numbered};
use crate::settle::{CellKind, Value};
use crate::syntax::fingerprint::fingerprint;
use crate::written::{cell, switch};

/// Columns of a page.
const WIDTH: usize = 80;
/// A longer scene name has a line to itself.
const NAME: usize = 28;

/// One row a preset; `-` where a value does not matter.
pub fn table(compiled: &Compiled) -> String {
    let sheet = Sheet::new(compiled);
    let panels = sheet.panels();
    let mut out = sheet.title();
    for (number, panel) in panels.iter().enumerate() {
        out.push('\n');
        sheet.panel_title(&mut out, panel, number + 1, panels.len());
        sheet.heads(&mut out, panel);
        sheet.rows(&mut out, panel);
    }
    sheet.inside(&mut out);
    out
}

/// What stands together when a table is split.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Group {
    Loops,
    Switched,
    Sent,
}

impl Group {
    fn says(self) -> &'static str {
        match self {
            Group::Loops => "loops",
            Group::Switched => "contacts, levels and outputs",
            Group::Sent => "messages and feet",
        }
    }
}

struct Column {
    group: Group,
    /// The head: whose it is, and which it is.
    heads: [String; 2],
    width: usize,
}

struct Panel {
    group: Option<Group>,
    columns: Vec<ColumnId>,
}

struct Sheet<'c> {
    compiled: &'c Compiled,
    columns: Numbered<ColumnId, Column>,
    slot: usize,
    name: usize,
}

impl<'c> Sheet<'c> {
    fn new(compiled: &'c Compiled) -> Sheet<'c> {
        let mut sheet = Sheet { compiled, columns: Numbered::default(), slot: 4, name: 5 };
        sheet.columns = compiled.table.cells.list.ids().filter_map(|c| sheet.column(c)).collect();
        let mut field = String::new();
        let mut widest: Numbered<ColumnId, usize> = sheet.columns.iter().map(|c| c.width).collect();
        for preset in &compiled.presets {
            sheet.slot = sheet.slot.max(sheet.shown(preset.slot).width());
            sheet.name = sheet.name.max(Some(sheet.scene(preset).width()).filter(|w| *w <= NAME).unwrap_or(0));
            for (c, width) in widest.pairs_mut() {
                sheet.value(preset, c, &mut field);
                *width = (*width).max(field.width());
            }
        }
        let most = sheet.room();
        for (column, width) in sheet.columns.iter_mut().zip(widest) {
            column.width = width.min(most);
        }
        sheet
    }

    fn column(&self, at: ColumnId) -> Option<Column> {
        let book = &self.compiled.book;
        let cell = self.compiled.table.cells.list.get(at)?;
        let mut labels: Vec<String> = match cell.kind {
            CellKind::Loop(number) => book.board.in_loop(number).map(|d| d.label()).into_iter().collect(),
            CellKind::Output(_) => cell::fed(&book.board, cell).map(|d| d.label()).collect(),
            _ => cell::users(&book.board, cell).map(|(device, _)| device.label()).collect(),
        };
        labels.sort();
        labels.dedup();
        let more = if labels.len() > 1 { "+" } else { "" };
        let whose = labels.into_iter().next().map_or(String::new(), |label| label + more);
        let (group, which) = match cell.kind {
            CellKind::Loop(number) => (Group::Loops, book.board.loop_short(number)),
            CellKind::Contact(c) | CellKind::Taps { contact: c, .. } => {
                (Group::Switched, format!("{}{}", c.jack, if c.ring { "r" } else { "t" }))
            }
            CellKind::Port(number) => (Group::Switched, format!("e{number}")),
            CellKind::Output(number) => (Group::Switched, format!("o{number}")),
            CellKind::Trim(number) => (Group::Switched, format!("o{number}dB")),
            CellKind::Guitar => (Group::Switched, "in".to_owned()),
            CellKind::Order => (Group::Loops, "order".to_owned()),
            CellKind::Clock => (Group::Sent, "clock".to_owned()),
            CellKind::Message { .. } | CellKind::ByFoot { .. } => {
                let control = cell::users(&book.board, cell).next().map_or("", |(_, control)| control.name.as_str());
                (Group::Sent, control.to_owned())
            }
        };
        let width = whose.width().max(which.width()).max(3);
        Some(Column { group, heads: [whose, which], width })
    }

    /// What is left of a line beside slot and scene.
    fn room(&self) -> usize {
        WIDTH.saturating_sub(self.slot + 2 + self.name + 2)
    }

    fn panels(&self) -> Vec<Panel> {
        let all: Vec<ColumnId> = self.columns.ids().collect();
        if self.width(&all) <= self.room() {
            return vec![Panel { group: None, columns: all }];
        }
        let mut panels: Vec<Panel> = Vec::new();
        for (at, column) in self.columns.pairs() {
            if let Some(last) = panels.last_mut().filter(|p| p.group == Some(column.group)) {
                last.columns.push(at);
                if self.width(&last.columns) <= self.room() {
                    continue;
                }
                last.columns.pop();
            }
            panels.push(Panel { group: Some(column.group), columns: vec![at] });
        }
        panels
    }

    /// Columns side by side, a blank between two.
    fn width(&self, columns: &[ColumnId]) -> usize {
        let widths = columns.iter().filter_map(|c| self.columns.get(*c)).map(|c| c.width + 1);
        widths.sum::<usize>().saturating_sub(1)
    }

    fn title(&self) -> String {
        let book = &self.compiled.book;
        let mut parts = Vec::new();
        parts.extend(book.board.title.as_ref().map(|b| b.value.clone()));
        parts.extend(book.board.version.as_ref().map(|v| format!("version {}", v.value)));
        parts.push(format!("source {}", fingerprint(&self.compiled.files, &self.compiled.trees)));
        let mut out = String::new();
        let mut line = String::new();
        for part in parts {
            if !line.is_empty() && line.width() + 2 + part.width() > WIDTH {
                push_cut(&mut out, &std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push_str("  ");
            }
            line.push_str(&part);
        }
        push_cut(&mut out, &line);
        out.push_str("1 engaged, closed or on; 0 bypassed, open or off; - free: it does not matter\n");
        out
    }

    fn panel_title(&self, out: &mut String, panel: &Panel, number: usize, of: usize) {
        let mut says = Vec::new();
        if let Some(group) = panel.group {
            says.push(format!("part {number} of {of}: {}", group.says()));
        }
        let has = |kind: fn(&CellKind) -> bool| {
            let cells = &self.compiled.table.cells.list;
            panel.columns.iter().filter_map(|c| cells.get(*c)).any(|c| kind(&c.kind))
        };
        let mut keys = Vec::new();
        if has(|k| matches!(k, CellKind::Contact(_) | CellKind::Taps { .. })) {
            keys.push("1t, 1r: tip and ring of remote 1");
        }
        if has(|k| k.paced()) {
            keys.push("tempi in bpm");
        }
        if has(|k| matches!(k, CellKind::Port(_))) {
            keys.push("e1: expression 1, in %");
        }
        let presets = || self.compiled.presets.iter().map(|p| p.scene);
        let moved = |c: &ColumnId| presets().any(|s| matches!(self.compiled.table.stored(s, *c), Value::Moved(_)));
        if panel.columns.iter().any(moved) {
            keys.push("foot 1 20..70: foot input 1 moves it from 20 % (heel) to 70 % (toe)");
        }
        if has(|k| matches!(k, CellKind::Output(_))) {
            keys.push("o1: output 1");
        }
        if has(|k| matches!(k, CellKind::Trim(_))) {
            keys.push("o1dB: trim of output 1, in dB");
        }
        if has(|k| matches!(k, CellKind::Guitar)) {
            keys.push("in: guitar input");
        }
        if has(|k| matches!(k, CellKind::Order)) {
            keys.push(cell::ORDER);
        }
        if !keys.is_empty() {
            says.push(keys.join("; "));
        }
        if self.compiled.errors() > 0 {
            says.insert(0, "DRAFT: the book has errors; ? is not known".to_owned());
        }
        says.iter().for_each(|line| push_cut(out, line));
    }

    fn heads(&self, out: &mut String, panel: &Panel) {
        let columns = || panel.columns.iter().filter_map(|c| self.columns.get(*c));
        for (line, [slot, scene]) in [["", ""], ["slot", "scene"]].iter().enumerate() {
            let heads = columns().map(|c| (c.heads.get(line).map_or("", String::as_str), c.width));
            self.line(out, slot, scene, heads);
        }
        let width = self.slot + 2 + self.name + 2 + self.width(&panel.columns);
        out.push_str(&"─".repeat(width));
        out.push('\n');
    }

    fn rows(&self, out: &mut String, panel: &Panel) {
        let mut fields: Vec<String> = vec![String::new(); panel.columns.len()];
        let mut bank = None;
        for preset in &self.compiled.presets {
            let here = preset.slot.map(|s| s.bank);
            if bank.is_some_and(|bank| bank != here) {
                out.push('\n');
            }
            bank = Some(here);
            for (field, c) in fields.iter_mut().zip(&panel.columns) {
                self.value(preset, *c, field);
            }
            let widths = panel.columns.iter().map(|c| self.columns.get(*c).map_or(0, |c| c.width));
            let scene = self.scene(preset);
            let short = if scene.width() > self.name { "" } else { scene };
            if short.is_empty() {
                let mut rest = scene;
                while !rest.is_empty() {
                    let (line, after) = split(rest, WIDTH);
                    out.push_str(line);
                    out.push('\n');
                    rest = after;
                }
            }
            self.line(out, &self.shown(preset.slot), short, fields.iter().map(String::as_str).zip(widths));
        }
    }

    /// What the switches inside the presets do.
    fn inside(&self, out: &mut String) {
        if switch::names(&self.compiled.book.board).is_empty() {
            return;
        }
        out.push_str("\ninside the presets\n");
        for preset in &self.compiled.presets {
            for says in super::sheet::typed(self.compiled, preset.scene) {
                let mut line = String::new();
                push_padded(&mut line, &self.shown(preset.slot), self.slot, 0);
                line += &format!("  {}: {says}", self.scene(preset));
                while !line.is_empty() {
                    let (first, rest) = split(&line, WIDTH);
                    out.push_str(first);
                    out.push('\n');
                    line = rest.to_owned();
                }
            }
        }
    }

    fn line<'f>(&self, out: &mut String, slot: &str, scene: &str, fields: impl Iterator<Item = (&'f str, usize)>) {
        let mut line = String::new();
        push_padded(&mut line, slot, self.slot, 0);
        line.push_str("  ");
        push_padded(&mut line, scene, self.name, 0);
        line.push(' ');
        for (field, width) in fields {
            line.push(' ');
            let field = cut(field, width);
            push_padded(&mut line, &field, width, width.saturating_sub(field.width()) / 2);
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }

    fn shown(&self, slot: Option<Slot>) -> String {
        let range = self.compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
        slot.zip(range).map_or(String::new(), |(slot, range)| range.show(slot))
    }

    fn scene(&self, preset: &Preset) -> &'c str {
        self.compiled.book.show.scene(preset.scene).map_or("", |s| &s.name)
    }

    fn value(&self, preset: &Preset, at: ColumnId, field: &mut String) {
        field.clear();
        let (book, table) = (&self.compiled.book, &self.compiled.table);
        let Some(cell) = table.cells.list.get(at) else { return };
        if table.idle(preset.scene, at) {
            field.push('-');
        } else {
            cell::write(field, &book.board, cell, table.stored(preset.scene, at));
        }
    }
}

fn push_padded(out: &mut String, text: &str, width: usize, before: usize) {
    out.extend(std::iter::repeat_n(' ', before));
    out.push_str(text);
    out.extend(std::iter::repeat_n(' ', width.saturating_sub(text.width() + before)));
}

/// A line of its own, at most as wide as the page.
fn push_cut(out: &mut String, line: &str) {
    out.push_str(&cut(line, WIDTH));
    out.push('\n');
}

fn cut(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    format!("{}…", split(text, width.saturating_sub(1)).0)
}

/// As much as fits, at least a letter, and the rest.
fn split(text: &str, width: usize) -> (&str, &str) {
    let mut used = 0;
    let mut end = text.len();
    for (at, c) in text.char_indices() {
        used += c.width().unwrap_or(0);
        if used > width && at > 0 {
            end = at;
            break;
        }
    }
    text.split_at_checked(end).unwrap_or((text, ""))
}
