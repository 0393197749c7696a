//! Every lead, and the order to plug them in.

pub mod check;

use std::collections::BTreeMap;

use super::doc::{Block, Cell, Doc, Table, para};
use super::supply::CAUTION;
use crate::Compiled;
use crate::book::{Book, Device};
use crate::study::wiring::{Jack, Lead, LeadKind, Purpose, Wiring, end};

/// Where a lead starts, and where it ends; one that splits ends twice.
pub fn ends(book: &Book, lead: &Lead) -> (String, String) {
    let to: Vec<String> = lead.to.iter().map(|j| end(&book.board, j)).collect();
    (end(&book.board, &lead.from), to.join(" and "))
}

/// `30 cm`, `6 m`; nothing where nobody stated it.
pub fn length(lead: &Lead) -> String {
    lead.length
        .map_or(String::new(), |m| if m < 1.0 { format!("{} cm", (m * 1e4).round() / 100.0) } else { format!("{m} m") })
}

/// Which way round a power lead's plugs are: `centre-negative`, `centre-negative to centre-positive`; nothing where
/// nobody stated it.
pub fn polarity(lead: &Lead) -> String {
    match lead.polarity {
        Some(polarity) if lead.kind == LeadKind::DcReversing => {
            format!("{} to {}", polarity.word(), polarity.turned().word())
        }
        Some(polarity) => polarity.word().to_owned(),
        None => String::new(),
    }
}

/// The lead list with boxes to tick, counts by kind, and odd jacks.
pub fn doc(compiled: &Compiled, wiring: &Wiring) -> Doc {
    let book = &compiled.book;
    let rows = wiring.leads.iter().map(|lead| {
        let (from, to) = ends(book, lead);
        let fields = [lead.number.to_string(), lead.kind.word().to_owned(), from, to, length(lead), polarity(lead)];
        std::iter::once(Cell::tick()).chain(Cell::row(fields)).collect()
    });
    let heads = ["", "lead", "kind", "from", "to", "length", "polarity"];
    let mut blocks = vec![Block::Table(Table::new("leads", &heads, 0, &[2, 3, 4, 6], rows.collect()))];
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
    out.extend(midi_line(book, wiring));
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

/// By what the devices on the line of MIDI leads follow each other: no book says how it runs.
pub fn midi_line(book: &Book, wiring: &Wiring) -> Option<String> {
    let mut from = Jack::MidiOut;
    let next = || {
        let lead = wiring.leads.iter().find(|lead| lead.purpose == Purpose::Midi && lead.from == from)?;
        let device = lead.to.first().and_then(Jack::device)?;
        from = Jack::MidiThru(device);
        book.board.devices.get(device)
    };
    let devices = std::iter::from_fn(next);
    let on = |device: &Device| match device.channel() {
        Some(channel) => format!("{} on {channel}", device.name),
        None => format!("{} by the clock alone", device.name),
    };
    let all: Vec<String> = devices.map(on).collect();
    (all.len() > 1).then(|| {
        format!(
            "the MIDI leads run from device to device in the order of their channels, as the book does not say how they run: {}",
            all.join(", ")
        )
    })
}

/// One record a lead (RFC 4180).
pub fn csv(book: &Book, wiring: &Wiring) -> String {
    let records = wiring.leads.iter().map(|lead| {
        let (from, to) = ends(book, lead);
        let metres = lead.length.map_or(String::new(), |m| m.to_string());
        [lead.number.to_string(), lead.kind.word().to_owned(), from, to, metres, polarity(lead)]
    });
    super::csv::records(&["lead", "kind", "from", "to", "length_m", "polarity"], records)
}
