//! A document for a terminal, a mail or a printer that knows letters alone.

use unicode_width::UnicodeWidthStr;

use super::{Block, Cell, Chip, Doc, Item, List, Look, Mark, Table, Words};

/// Columns of a page.
pub(crate) const WIDTH: usize = 80;
/// A name before columns of signs is given no more room than this.
const NAME: usize = 20;
/// The least that is left to a column whose words wrap.
const LEAST: usize = 10;

/// The documents one after the other. With `colour`, headings and marks are set off by ANSI codes.
pub fn write(docs: &[Doc], colour: bool) -> String {
    let mut out = String::new();
    for doc in docs {
        let mut writer = Writer { out: String::new(), narrow: doc.narrow, colour };
        writer.out.push_str(&doc.opening);
        doc.blocks.iter().for_each(|block| writer.block(block));
        if !doc.foot.is_empty() {
            writer.gap();
            writer.line(&doc.foot);
        }
        writer.out.truncate(writer.out.trim_end().len());
        out += if out.is_empty() { "" } else { "\n\n" };
        out += &writer.out;
        out.push('\n');
    }
    out
}

struct Writer {
    out: String,
    narrow: bool,
    colour: bool,
}

impl Writer {
    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading { level, mark, text } => self.heading(*level, mark, text),
            Block::Para(words) => self.line(&plain(words)),
            Block::List(list) => self.list(list),
            Block::Code { lines, coloured } => self.out.push_str(if self.colour { coloured } else { lines }),
            Block::Told(lines, _) => match lines.strip_prefix('\n') {
                Some(lines) => {
                    self.gap();
                    self.out.push_str(lines);
                }
                None => self.out.push_str(lines),
            },
            Block::Notice(lines) => {
                self.gap();
                lines.iter().for_each(|line| self.line(line));
            }
            Block::Chips(chips) => self.line(&chips.iter().map(chip).collect::<Vec<_>>().join("  ")),
            Block::Table(table) => self.table(table),
            Block::Figure(figure) => self.line(&figure.alt),
            Block::Together(blocks) => blocks.iter().for_each(|block| self.block(block)),
            Block::Pen(_) | Block::Break => {}
        }
    }

    /// A blank line, but not two, and none at the start.
    fn gap(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn line(&mut self, text: &str) {
        if self.narrow { wrap(&mut self.out, text, 0, 0) } else { self.out += &format!("{text}\n") }
    }

    fn paint(&mut self, code: &str, text: &str) {
        match self.colour && !code.is_empty() {
            true => self.out += &format!("\u{1b}[{code}m{text}\u{1b}[0m"),
            false => self.out += text,
        }
    }

    fn heading(&mut self, level: u8, mark: &str, text: &str) {
        let text = if mark.is_empty() { text.to_owned() } else { format!("{mark}  {text}") };
        if level == 2 || self.narrow {
            self.gap();
            self.paint("1", &text);
        } else {
            self.out.push_str("  ");
            self.paint("1", &text);
        }
        self.out.push('\n');
        if self.narrow {
            let sign = if level == 2 { "=" } else { "-" };
            self.out += &format!("{}\n", sign.repeat(text.width().min(WIDTH)));
        }
    }

    fn list(&mut self, list: &List) {
        let (first, further) = list.columns;
        for Item { depth, mark, words } in &list.items {
            self.out.push_str(&" ".repeat(first + depth * further));
            let code = match mark {
                Mark::Came => "32",
                Mark::Went => "31",
                Mark::Turned => "33",
                Mark::None | Mark::Tick => "",
            };
            if *mark != Mark::None {
                self.paint(code, mark.sign());
                self.out.push(' ');
            }
            self.out += &format!("{}\n", plain(words));
        }
    }

    /// Columns side by side; where a page is 80 columns wide, what is too wide wraps, or goes on below.
    fn table(&mut self, table: &Table) {
        let mut widths: Vec<usize> = (0..table.heads.len())
            .map(|c| {
                let cells = table.rows.iter().filter_map(|r| r.get(c)).map(|cell| shown(cell).width());
                let head = table.heads.get(c).map_or(0, |h| h.width());
                let wide = cells.max().unwrap_or(0).max(head);
                if table.signs.is_some() && c < table.keys { wide.min(NAME.max(head)) } else { wide }
            })
            .collect();
        let gap = if table.signs.is_some() { " " } else { "  " };
        if self.narrow {
            let room = WIDTH.saturating_sub(gap.len() * widths.len().saturating_sub(1));
            narrow(&mut widths, &table.wraps, room);
        }
        for columns in self.stretches(table, &widths, gap.len()) {
            self.gap();
            let heads: Vec<String> = columns.iter().map(|c| table.heads.get(*c).cloned().unwrap_or_default()).collect();
            self.row(table, &columns, &widths, gap, &heads);
            for row in &table.rows {
                let cells: Vec<String> = columns.iter().map(|c| row.get(*c).map_or(String::new(), shown)).collect();
                self.row(table, &columns, &widths, gap, &cells);
            }
        }
        self.gap();
    }

    /// The columns of each part of a table, with the keys before each.
    fn stretches(&self, table: &Table, widths: &[usize], gap: usize) -> Vec<Vec<usize>> {
        let keys: Vec<usize> = (0..table.keys.min(widths.len())).collect();
        let wide = |columns: &[usize]| columns.iter().filter_map(|c| widths.get(*c)).map(|w| w + gap).sum::<usize>();
        let mut out = vec![keys.clone()];
        for column in keys.len()..widths.len() {
            let Some(last) = out.last_mut() else { continue };
            let anew = table.signs.as_ref().is_some_and(|at| at.contains(&column));
            let full = self.narrow && wide(last) + widths.get(column).copied().unwrap_or(0) > WIDTH;
            if (anew || full) && last.len() > keys.len() {
                let mut next = keys.clone();
                next.push(column);
                out.push(next);
            } else {
                last.push(column);
            }
        }
        out
    }

    fn row(&mut self, table: &Table, columns: &[usize], widths: &[usize], gap: &str, cells: &[String]) {
        let width = |c: &usize| widths.get(*c).copied().unwrap_or(0);
        let wrapped = |c: &usize, text: &String| -> Vec<String> {
            if !self.narrow || !table.wraps.contains(c) || text.width() <= width(c) {
                return vec![text.clone()];
            }
            let mut lines = String::new();
            wrap_to(&mut lines, text, (0, 0), width(c));
            lines.lines().map(str::to_owned).collect()
        };
        let lines: Vec<Vec<String>> = columns.iter().zip(cells).map(|(c, text)| wrapped(c, text)).collect();
        for n in 0..lines.iter().map(Vec::len).max().unwrap_or(1) {
            let fields = columns.iter().zip(&lines).map(|(c, of)| {
                let text = of.get(n).map_or("", String::as_str);
                if table.left(*c) { pad(text, width(c)) } else { right(text, width(c)) }
            });
            let line = fields.collect::<Vec<_>>().join(gap);
            self.out += &format!("{}\n", line.trim_end());
        }
    }
}

/// Takes what is too much from the widest columns that may wrap.
fn narrow(widths: &mut [usize], wraps: &[usize], room: usize) {
    while widths.iter().sum::<usize>() > room {
        let widest = wraps.iter().copied().max_by_key(|c| widths.get(*c).copied());
        match widest.and_then(|c| widths.get_mut(c)).filter(|w| **w > LEAST) {
            Some(width) => *width -= 1,
            None => return,
        }
    }
}

/// A cell in letters: what does not matter is a dash.
fn shown(cell: &Cell) -> String {
    match (cell.tick, cell.look) {
        (true, _) => Mark::Tick.sign().to_owned(),
        (_, Look::Light) => "-".to_owned(),
        _ => cell.text.clone(),
    }
}

/// `[1, 5 on] chorus`, `(1 called) verse`.
pub(crate) fn chip(chip: &Chip) -> String {
    let key = if chip.key.is_empty() { String::new() } else { format!("[{}] ", chip.key) };
    let aside = chip.beside();
    format!("{key}{aside}{}{}", chip.text, if chip.held { " (treadle)" } else { "" })
}

/// Words as letters; names keep their ticks.
pub(super) fn plain(words: &Words) -> String {
    words.iter().map(|(text, look)| if *look == Look::Name { format!("`{text}`") } else { text.clone() }).collect()
}

/// Fills with blanks to `width` columns.
pub(crate) fn pad(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

/// The same, with the text at the right.
fn right(text: &str, width: usize) -> String {
    format!("{}{text}", " ".repeat(width.saturating_sub(text.width())))
}

/// Writes a line indented by `first`, and what 80 columns do not hold below it, indented by `hang`.
pub(crate) fn wrap(out: &mut String, text: &str, first: usize, hang: usize) {
    wrap_to(out, text, (first, hang), WIDTH);
}

fn wrap_to(out: &mut String, text: &str, (first, hang): (usize, usize), width: usize) {
    let mut used = first;
    out.extend(std::iter::repeat_n(' ', first));
    let mut gap = 0;
    let mut fresh = true;
    for word in text.split(' ') {
        if word.is_empty() {
            gap += 1;
            continue;
        }
        if !fresh && used + gap + word.width() > width {
            let line = out.trim_end_matches(' ').len();
            out.truncate(line);
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', hang));
            (used, gap) = (hang, 0);
        }
        out.extend(std::iter::repeat_n(' ', gap));
        out.push_str(word);
        used += gap + word.width();
        (gap, fresh) = (1, false);
    }
    out.push('\n');
}
