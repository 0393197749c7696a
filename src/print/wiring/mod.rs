//! Every lead, and the order to plug them in.

use std::collections::BTreeMap;

use super::doc::{Block, Cell, Doc, Item, List, Look, Mark, Table, head, para};
use super::supply::CAUTION;
use crate::Compiled;
use crate::book::Book;
use crate::study::buildcheck::Step;
use crate::study::wiring::{Lead, LeadKind, Wiring, end};

fn ends(book: &Book, lead: &Lead) -> (String, String) {
    let to: Vec<String> = lead.to.iter().map(|j| end(&book.board, j)).collect();
    (end(&book.board, &lead.from), to.join(" and "))
}

fn length(lead: &Lead) -> String {
    lead.length
        .map_or(String::new(), |m| if m < 1.0 { format!("{} cm", (m * 1e4).round() / 100.0) } else { format!("{m} m") })
}

/// The lead list with boxes to tick, counts by kind, and odd jacks.
pub fn doc(compiled: &Compiled, wiring: &Wiring) -> Doc {
    let book = &compiled.book;
    let rows = wiring.leads.iter().map(|lead| {
        let (from, to) = ends(book, lead);
        let fields = [lead.kind.word().to_owned(), from, to, length(lead)];
        std::iter::once(Cell::tick()).chain(Cell::row(fields)).collect()
    });
    let heads = ["", "kind", "from", "to", "length"];
    let mut blocks = vec![Block::Table(Table::new("leads", &heads, 0, &[1, 2, 3], rows.collect()))];
    blocks.extend(remarks(book, wiring).into_iter().map(para));
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "leads", blocks)
}

/// How many leads of each kind, and odd jacks, a line each.
fn remarks(book: &Book, wiring: &Wiring) -> Vec<String> {
    let mut kinds: BTreeMap<LeadKind, usize> = BTreeMap::new();
    wiring.leads.iter().for_each(|l| *kinds.entry(l.kind).or_default() += 1);
    let counts: Vec<String> = kinds.iter().map(|(kind, n)| format!("{n} {}", kind.word())).collect();
    let mut out = vec![format!("{} leads: {}", wiring.leads.len(), counts.join(", "))];
    out.extend(
        wiring.doubly.iter().map(|(jack, count)| format!("used twice: {} ({count} times)", end(&book.board, jack))),
    );
    out.extend(assumed(book, wiring));
    if !wiring.unused.is_empty() {
        let names: Vec<String> = wiring.unused.iter().map(|j| end(&book.board, j)).collect();
        out.push(format!("unused: {}", names.join(", ")));
    }
    out
}

/// Which leads at an amp were taken for patch leads, as nobody said how long they are.
pub fn assumed(book: &Book, wiring: &Wiring) -> Option<String> {
    let leads = wiring.assumed.iter().filter_map(|at| wiring.leads.get(*at));
    let named: Vec<String> = leads.map(|lead| ends(book, lead)).map(|(from, to)| format!("{from} to {to}")).collect();
    (!named.is_empty())
        .then(|| format!("taken for patch leads, as no chain says `cable` for them: {}", named.join(", ")))
}

/// One record a lead (RFC 4180).
pub fn csv(book: &Book, wiring: &Wiring) -> String {
    let records = wiring.leads.iter().enumerate().map(|(i, lead)| {
        let (from, to) = ends(book, lead);
        let metres = lead.length.map_or(String::new(), |m| m.to_string());
        [(i + 1).to_string(), lead.kind.word().to_owned(), from, to, metres]
    });
    super::csv::records(&["lead", "kind", "from", "to", "length_m"], records)
}

/// The plug-and-check list: one lead, one test.
pub fn check_doc(compiled: &Compiled, wiring: &Wiring, steps: &[Step]) -> Doc {
    let words = |text: String| vec![(text, Look::Plain)];
    let mut items = Vec::new();
    for [number, kind, from, to, act, expect] in check_records(&compiled.book, wiring, steps) {
        let plug = format!("{number:>3}  plug {kind} lead: {from} -> {to}");
        items.push(Item { depth: 0, mark: Mark::Tick, words: words(plug) });
        for says in [format!("do:     {act}"), format!("expect: {expect}")] {
            items.push(Item { depth: 1, mark: Mark::None, words: words(says) });
        }
    }
    let before = [
        "One lead a step. When a step fails, the lead just plugged, or what it reached, is to blame.",
        "Before the first step: the guitar lead straight into the amplifier; play; this is the sound to hold all else\n\
         against. Volume down before every plug.",
    ];
    let mut blocks: Vec<Block> = before.into_iter().map(para).collect();
    blocks.push(Block::Told("\n".to_owned(), Vec::new()));
    blocks.push(Block::List(List { columns: (0, 9), items }));
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "plug and check", blocks)
}

/// The same for the technician's sheet, with the counts; nothing without leads.
pub fn section(book: &Book, wiring: &Wiring, steps: &[Step]) -> Vec<Block> {
    if wiring.leads.is_empty() {
        return Vec::new();
    }
    let first = "Before the first step play the guitar straight into the amplifier: this is the sound to hold all else \
                 against. When a step fails, the lead just plugged, or what it reached, is to blame.";
    let rows = check_records(book, wiring, steps).into_iter().map(|[number, kind, from, to, act, expect]| {
        Cell::row([format!("[ ] {number}"), kind, format!("{from} > {to}"), act, expect])
    });
    let heads = ["step", "kind", "lead", "do", "hear or see"];
    let mut out = vec![head(2, "plug and check: one lead, one test"), para(first)];
    out.push(Block::Table(Table::new("leads", &heads, 1, &[2, 3, 4], rows.collect())));
    out.extend(remarks(book, wiring).into_iter().map(para));
    out
}

/// The steps as fields: number, kind, from, to, what to do, what to expect.
fn check_records(book: &Book, wiring: &Wiring, steps: &[Step]) -> Vec<[String; 6]> {
    let records = steps.iter().enumerate().filter_map(|(number, step)| {
        let lead = wiring.leads.get(step.lead)?;
        let (from, to) = ends(book, lead);
        let (act, expect) = (step.act.clone(), step.expect.clone());
        Some([(number + 1).to_string(), lead.kind.word().to_owned(), from, to, act, expect])
    });
    records.collect()
}

/// The same as records (RFC 4180).
pub fn check_csv(book: &Book, wiring: &Wiring, steps: &[Step]) -> String {
    super::csv::records(&["step", "kind", "from", "to", "do", "expect"], check_records(book, wiring, steps))
}
