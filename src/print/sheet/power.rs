//! Power, leads and the order of plugging, for the technician's sheet.

use super::reading::head;
use crate::book::Book;
use crate::print::page::{Block, Cell, Look, Table};
use crate::print::{supply, wiring};
use crate::study::{buildcheck, supply as power, wiring as leads};

fn cells(fields: impl IntoIterator<Item = String>) -> Vec<Cell> {
    fields.into_iter().map(|t| Cell::new(t, Look::Plain)).collect()
}

fn table(caption: &str, heads: &[&str], wraps: Vec<usize>, rows: Vec<Vec<Cell>>) -> Block {
    let heads = heads.iter().map(|h| (*h).to_owned()).collect();
    Block::Table(Table { caption: caption.to_owned(), heads, keys: 1, wraps, rows, ..Table::default() })
}

/// Outlets and what hangs on them; what does not fit or is missing.
pub(super) fn budget(book: &Book, blocks: &mut Vec<Block>) {
    if book.supplies.is_empty() {
        return;
    }
    let budget = power::budget(book);
    let rows = budget.loads.iter().map(|load| cells(supply::fields(book, load)));
    let heads = ["outlet", "V", "gives mA", "allowed mA", "drawn mA", "headroom mA", "feeds"];
    let mut inner = vec![head(2, "power"), table("outlets", &heads, vec![6], rows.collect())];
    for says in supply::remarks(book, &budget) {
        inner.push(Block::Para(vec![(says, Look::Plain)]));
    }
    blocks.push(Block::Together(inner));
}

/// Every lead, counted, and the order to plug and test them in.
pub(super) fn plugging(book: &Book, blocks: &mut Vec<Block>) {
    let wired = leads::wiring(book);
    if wired.leads.is_empty() {
        return;
    }
    let steps = buildcheck::steps(book, &wired);
    blocks.push(head(2, "plug and check: one lead, one test"));
    let first = "Before the first step play the guitar straight into the amplifier: this is the sound to hold all else \
                 against. When a step fails, the lead just plugged, or what it reached, is to blame.";
    blocks.push(Block::Para(vec![(first.to_owned(), Look::Plain)]));
    let rows = wiring::check_records(book, &wired, &steps).into_iter().map(|[number, kind, from, to, act, expect]| {
        cells([format!("[ ] {number}"), kind, format!("{from} > {to}"), act, expect])
    });
    let heads = ["step", "kind", "lead", "do", "hear or see"];
    blocks.push(table("leads", &heads, vec![2, 3, 4], rows.collect()));
    for says in wiring::remarks(book, &wired) {
        blocks.push(Block::Para(vec![(says, Look::Plain)]));
    }
}
