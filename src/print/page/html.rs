//! The same blocks as one page of HTML that needs nothing else: no network, no script.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::doc::{Block, Cell, Chip, Doc, Look, Table};
use super::svg;

const STYLE: &str = include_str!("page.css");

/// The whole page: documents one after the other, the sizes and the small print of the first.
pub fn write(docs: &[Doc]) -> String {
    let sizes = docs.first().map_or_else(super::Sizes::default, |d| d.sizes);
    let [one, two, three] = sizes.heads;
    let sizes = format!(
        "body{{--text:{}pt;--h1:{one}pt;--h2:{two}pt;--h3:{three}pt;--table:{}pt;--small:{}pt}}",
        sizes.text, sizes.table, sizes.small
    );
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (docs.first().map_or("", |d| &d.title)) }
                link rel="icon" href="data:,";
                style { (PreEscaped(STYLE)) (PreEscaped(sizes)) }
            }
            body {
                main { @for doc in docs { (doc_of(doc)) } }
                footer { p.small { (docs.first().map_or("", |d| &d.small)) } }
            }
        }
    };
    page.into_string()
}

fn doc_of(doc: &Doc) -> Markup {
    html! {
        article {
            @if doc.draft { p.draft role="alert" { "DRAFT: the book has errors" } }
            @if !doc.top.is_empty() {
                header {
                    // What stands at the top of every page of paper names the whole here.
                    h1.top { (doc.top.first().map_or("", |c| &c.text)) }
                    (chips(doc.top.get(1..).unwrap_or(&[])))
                }
            }
            @for block in &doc.blocks { (block_of(block)) }
            @if !doc.foot.is_empty() { p.foot { (doc.foot) } }
            @if doc.pen { div.pen aria-hidden="true" { @for _ in 0..4 { hr; } } }
        }
    }
}

fn block_of(block: &Block) -> Markup {
    match block {
        Block::Heading { level, mark, text } => {
            let words = html! { @if !mark.is_empty() { span.mark { (mark) } " " } (text) };
            match level {
                1 => html! { h1 { (words) } },
                2 => html! { h2 { (words) } },
                _ => html! { h3 { (words) } },
            }
        }
        Block::Para(runs) => html! {
            p { @for (text, look) in runs { @match look {
                Look::Plain => (text),
                Look::Strong => b { (text) },
                Look::Light => span.light { (text) },
            } } }
        },
        Block::Notice(lines) => html! { div.notice { @for line in lines { p { (line) } } } },
        Block::Chips(list) => chips(list),
        Block::Table(table) => table_of(table),
        Block::Figure(figure) => svg::figure(figure),
        Block::Pen(lines) => html! { div.pen aria-hidden="true" { @for _ in 0..*lines { hr; } } },
        Block::Together(blocks) => html! { section { @for block in blocks { (block_of(block)) } } },
        Block::Break => html! { div.break {} },
    }
}

fn chips(chips: &[Chip]) -> Markup {
    html! {
        ul.chips {
            @for chip in chips {
                li {
                    @if !chip.key.is_empty() { b.key { (chip.key) } " " }
                    @if chip.held { (held()) " " }
                    (chip.text)
                }
            }
        }
    }
}

/// The fixed sign of a part that a foot holds.
fn held() -> Markup {
    html! {
        svg.held viewBox="0 0 66 62" role="img" aria-label="foot holds" {
            polygon points="0,62 66,62 66,0 0,42" {}
        }
    }
}

fn table_of(table: &Table) -> Markup {
    // On paper so many columns stand side by side in small letters alone.
    let many = table.heads.len() > 16;
    html! {
        div.wide.many[many] tabindex="0" role="region" aria-label=(table.caption) {
            table {
                thead { tr { @for head in &table.heads { th scope="col" { (head) } } } }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (column, cell) in row.iter().enumerate() {
                                @let left = column < table.keys || table.wraps.contains(&column);
                                @if column < table.keys.min(1) {
                                    th.left scope="row" { (cell_of(cell)) }
                                } @else if left {
                                    td.left { (cell_of(cell)) }
                                } @else {
                                    td { (cell_of(cell)) }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn cell_of(cell: &Cell) -> Markup {
    match (cell.tick, cell.look) {
        (true, _) => html! { span.tick {} },
        (_, Look::Plain) => html! { (cell.text) },
        (_, Look::Strong) => html! { b { (cell.text) } },
        (_, Look::Light) => html! { span.light { (cell.text) } },
    }
}
