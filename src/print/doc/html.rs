//! A document as one page of HTML that needs nothing else: no network, no script.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{Block, Cell, Chip, Doc, List, Look, Mark, Table, Words, svg};

const STYLE: &str = include_str!("page.css");

/// A page that stands alone: title, style, what else its head holds, its body.
pub(crate) fn page(title: &str, style: &str, head: &Markup, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                (head)
                title { (title) }
                link rel="icon" href="data:,";
                style { (PreEscaped(style)) }
            }
            body { (body) }
        }
    };
    page.into_string()
}

/// The whole: documents one after the other, the sizes and the small print of the first; `paper` as CSS names it.
pub fn write(docs: &[Doc], paper: &str) -> String {
    let sizes = docs.first().map_or_else(super::Sizes::default, |d| d.sizes);
    let [one, two, three] = sizes.heads;
    let paper = if paper.is_empty() { String::new() } else { format!("@page{{size:{paper}}}") };
    let style = format!(
        "{STYLE}{paper}body{{--text:{}pt;--h1:{one}pt;--h2:{two}pt;--h3:{three}pt;--table:{}pt;--small:{}pt}}",
        sizes.text, sizes.table, sizes.small
    );
    let body = html! {
        main { @for doc in docs { (doc_of(doc)) } }
        footer { p.small { (docs.first().map_or("", |d| &d.small)) } }
    };
    page(docs.first().map_or("", |d| &d.title), &style, &html! {}, &body) + "\n"
}

fn doc_of(doc: &Doc) -> Markup {
    html! {
        article {
            @if doc.draft { p.draft role="alert" { "DRAFT: the book has errors" } }
            @if doc.top.is_empty() {
                h1 { (doc.title) }
            } @else {
                header {
                    // What stands at the top of every page of paper names the whole here.
                    h1.top { (doc.top.first().map_or("", |c| &c.text)) }
                    (chips(doc.top.get(1..).unwrap_or(&[])))
                }
            }
            @for block in &doc.blocks { (block_of(block)) }
            @if !doc.foot.is_empty() { p.foot { (doc.foot) } }
            @if doc.lines { div.pen aria-hidden="true" { @for _ in 0..4 { hr; } } }
        }
    }
}

fn block_of(block: &Block) -> Markup {
    match block {
        Block::Heading { level, mark, text } => {
            let words = html! { @if !mark.is_empty() { span.mark { (mark) } " " } (text) };
            if *level == 2 {
                html! { h2 { (words) } }
            } else {
                html! { h3 { (words) } }
            }
        }
        Block::Para(runs) => html! { p { (words_of(runs)) } },
        Block::List(list) => list_of(list),
        Block::Code { lines, .. } => html! { pre { (lines) } },
        Block::Notice(lines) => html! { div.notice { @for line in lines { p { (line) } } } },
        Block::Chips(list) => chips(list),
        Block::Table(table) => table_of(table),
        Block::Figure(figure) => svg::figure(figure),
        Block::Pen(lines) => html! { div.pen aria-hidden="true" { @for _ in 0..*lines { hr; } } },
        Block::Together(blocks) => html! { section { @for block in blocks { (block_of(block)) } } },
        Block::Told(_, blocks) => html! { @for block in blocks { (block_of(block)) } },
        Block::Break => html! { div.break {} },
    }
}

fn words_of(runs: &Words) -> Markup {
    html! {
        @for (text, look) in runs {
            @match look {
                Look::Plain => (text),
                Look::Strong => b { (text) },
                Look::Light => span.light { (text) },
                Look::Name => code { (text) },
            }
        }
    }
}

fn list_of(list: &List) -> Markup {
    html! {
        ul.list {
            @for item in &list.items {
                @let mark = match item.mark { Mark::Tick => "☐", Mark::Went => "−", other => other.sign() };
                li.set-in[item.depth > 0] { @if !mark.is_empty() { span.sign { (mark) } " " } (words_of(&item.words)) }
            }
        }
    }
}

fn chips(chips: &[Chip]) -> Markup {
    html! {
        ul.chips {
            @for chip in chips {
                li {
                    @if !chip.key.is_empty() { b.key { (chip.key) } " " }
                    @if !chip.aside.is_empty() { span.aside { (chip.beside()) } }
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
        svg.held viewBox="0 0 66 62" role="img" aria-label="treadle" {
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
                thead { tr { @for head in &table.heads {
                    @if head.is_empty() { td {} } @else { th scope="col" { (head) } }
                } } }
                tbody {
                    @for row in &table.rows {
                        tr {
                            @for (column, cell) in row.iter().enumerate() {
                                @if column < table.keys.min(1) {
                                    th.left scope="row" { (cell_of(cell)) }
                                } @else if table.left(column) {
                                    td.left.wraps[table.wraps.contains(&column)] { (cell_of(cell)) }
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
        (_, Look::Plain | Look::Name) => html! { (cell.text) },
        (_, Look::Strong) => html! { b { (cell.text) } },
        (_, Look::Light) => html! { span.light { (cell.text) } },
    }
}
