//! A document as Markdown (CommonMark, with tables and task boxes as they are usual).

use super::{Block, Cell, Chip, Doc, List, Look, Mark, Table, Words, squeezed};

/// The documents one after the other.
pub fn write(docs: &[Doc]) -> String {
    let mut out = String::new();
    for doc in docs {
        let mut parts = vec![format!("# {}\n", escape(&doc.title))];
        if doc.draft {
            parts.push("**DRAFT: the book has errors**\n".to_owned());
        }
        doc.blocks.iter().for_each(|block| block_of(block, &mut parts));
        let ends = [&doc.foot, &doc.small].into_iter().filter(|s| !s.is_empty() && **s != doc.title);
        parts.extend(ends.map(|s| format!("{}\n", escape(s))));
        out += if out.is_empty() { "" } else { "\n" };
        out += &parts.join("\n");
    }
    out
}

fn block_of(block: &Block, out: &mut Vec<String>) {
    match block {
        Block::Heading { level, mark, text } => {
            let mark = if mark.is_empty() { String::new() } else { format!("**{}** ", escape(mark)) };
            out.push(format!("{} {mark}{}\n", "#".repeat(usize::from(*level)), escape(text)));
        }
        Block::Para(words) => out.push(format!("{}\n", marked(words))),
        Block::List(list) => out.push(list_of(list)),
        Block::Code { lines, .. } => out.push(format!("~~~~~diff\n{lines}~~~~~\n")),
        Block::Notice(lines) => {
            out.push(lines.iter().map(|l| format!("> **{}**\n", escape(l))).collect::<Vec<_>>().join(">\n"))
        }
        Block::Chips(chips) => out.push(format!("{}\n", chips.iter().map(chip).collect::<Vec<_>>().join(" · "))),
        Block::Table(table) => out.push(table_of(table)),
        Block::Figure(figure) => out.push(format!("*Drawing: {}*\n", escape(&figure.alt))),
        Block::Together(blocks) | Block::Told(_, blocks) => blocks.iter().for_each(|block| block_of(block, out)),
        Block::Pen(_) | Block::Break => {}
    }
}

fn marked(words: &Words) -> String {
    let one = |(text, look): &(String, Look)| match look {
        Look::Name => format!("`{text}`"),
        // Signs of emphasis hold to words, not to blanks.
        Look::Strong if !text.trim().is_empty() => {
            let (bare, end) = (text.trim_end(), if text.ends_with(' ') { " " } else { "" });
            format!("**{}**{end}", escape(bare))
        }
        _ => escape(text),
    };
    words.iter().map(one).collect::<String>().trim().to_owned()
}

fn list_of(list: &List) -> String {
    let line = |item: &super::Item| {
        let mark = match item.mark {
            Mark::Tick => "[ ] ",
            Mark::Came => "**+** ",
            Mark::Went => "**−** ",
            Mark::Turned | Mark::None => "",
        };
        format!("{}- {mark}{}\n", "  ".repeat(item.depth), marked(&item.words))
    };
    list.items.iter().map(line).collect()
}

fn chip(chip: &Chip) -> String {
    let key = if chip.key.is_empty() { String::new() } else { format!("**{}** ", escape(&chip.key)) };
    let aside = escape(&chip.beside());
    format!("{key}{aside}{}{}", escape(&chip.text), if chip.held { " (treadle)" } else { "" })
}

fn table_of(table: &Table) -> String {
    let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    let mut out = line(table.heads.iter().map(|h| escape(h)).collect());
    out += &line((0..table.heads.len()).map(|c| if table.left(c) { "---" } else { ":-:" }.to_owned()).collect());
    out.extend(table.rows.iter().map(|row| line(row.iter().map(cell).collect())));
    out
}

fn cell(cell: &Cell) -> String {
    match (cell.tick, cell.look) {
        (true, _) => "☐".to_owned(),
        // What does not matter is told apart, and still says what is stored.
        (_, Look::Light) if !cell.text.is_empty() => format!("({})", escape(&cell.text)),
        _ => escape(&cell.text),
    }
}

/// Signs that Markdown would read, made plain.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in squeezed(text).chars() {
        if matches!(c, '*' | '_' | '[' | ']' | '<' | '>' | '#' | '\\' | '|' | '`') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::print::doc::named;

    #[test]
    fn signs_are_plain_outside_names() {
        assert_eq!(marked(&named("`a_b` is *new* <b>")), "`a_b` is \\*new\\* \\<b\\>");
    }
}
