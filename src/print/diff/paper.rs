//! The page as blocks for paper, which the shared layout turns into PDF.

use super::page::{Page, Tone};
use crate::print::page::{Block, Cell, Doc, Look, Table};

/// The whole page; `draft` marks every sheet of it.
pub fn doc(page: &Page, draft: bool) -> Doc {
    let mut blocks = vec![Block::Heading { level: 1, mark: String::new(), text: "What changed".to_owned() }];
    blocks.extend(page.lead.iter().map(|line| para(line)));
    for section in &page.sections {
        blocks.push(Block::Heading { level: 2, mark: String::new(), text: section.title.clone() });
        if !section.lead.is_empty() {
            blocks.push(para(&section.lead));
        }
        let rows = section.lines.iter().map(|line| {
            let mark = match line.tone {
                _ if line.ticked => Cell::tick(),
                Tone::Came => Cell::new("+", Look::Strong),
                Tone::Went => Cell::new("-", Look::Strong),
                Tone::Turned => Cell::new("~", Look::Plain),
                Tone::Plain => Cell::new("", Look::Plain),
            };
            let look = if line.depth == 0 { Look::Strong } else { Look::Plain };
            // Set in by blanks that no layout trims.
            vec![mark, Cell::new("\u{a0}\u{a0}\u{a0}\u{a0}".repeat(line.depth) + &plain(&line.text), look)]
        });
        let head = if section.lines.iter().any(|l| l.ticked) { "To do" } else { "Change" };
        blocks.push(Block::Table(Table {
            caption: section.title.clone(),
            heads: vec![String::new(), head.to_owned()],
            wraps: vec![1],
            rows: rows.collect(),
            ..Table::default()
        }));
    }
    let title = plain(&page.title);
    Doc { small: title.clone(), title, draft, blocks, ..Doc::default() }
}

fn para(text: &str) -> Block {
    Block::Para(vec![(plain(text), Look::Plain)])
}

/// Words for paper: names without their ticks.
fn plain(text: &str) -> String {
    text.replace('`', "")
}
