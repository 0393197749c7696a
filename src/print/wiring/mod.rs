//! Every lead, and the order to plug them in.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::signal::text::aligned;
use super::supply::CAUTION;
use crate::book::Book;
use crate::study::buildcheck::Step;
use crate::study::wiring::{Lead, LeadKind, Wiring, end};

const BOX: &str = "[ ]";

fn ends(book: &Book, lead: &Lead) -> (String, String) {
    let to: Vec<String> = lead.to.iter().map(|j| end(book, j)).collect();
    (end(book, &lead.from), to.join(" and "))
}

fn length(lead: &Lead) -> String {
    lead.length
        .map_or(String::new(), |m| if m < 1.0 { format!("{} cm", (m * 1e4).round() / 100.0) } else { format!("{m} m") })
}

/// The lead list, counts by kind, and odd jacks.
pub fn text(book: &Book, wiring: &Wiring) -> String {
    let mut lines = vec![["", "kind", "from", "to", "length"].map(str::to_owned).to_vec()];
    for lead in &wiring.leads {
        let (from, to) = ends(book, lead);
        lines.push(vec![BOX.to_owned(), lead.kind.word().to_owned(), from, to, length(lead)]);
    }
    let mut out = aligned(&lines, 4);
    out.push('\n');
    for says in remarks(book, wiring) {
        let _ = writeln!(out, "{says}");
    }
    out.push('\n');
    out + CAUTION
}

/// How many leads of each kind, and odd jacks, a line each.
pub fn remarks(book: &Book, wiring: &Wiring) -> Vec<String> {
    let mut kinds: BTreeMap<LeadKind, usize> = BTreeMap::new();
    wiring.leads.iter().for_each(|l| *kinds.entry(l.kind).or_default() += 1);
    let counts: Vec<String> = kinds.iter().map(|(kind, n)| format!("{n} {}", kind.word())).collect();
    let mut out = vec![format!("{} leads: {}", wiring.leads.len(), counts.join(", "))];
    out.extend(wiring.doubly.iter().map(|(jack, count)| format!("used twice: {} ({count} times)", end(book, jack))));
    out.extend(assumed(book, wiring));
    if !wiring.unused.is_empty() {
        let names: Vec<String> = wiring.unused.iter().map(|j| end(book, j)).collect();
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
pub fn check_text(book: &Book, wiring: &Wiring, steps: &[Step]) -> String {
    let mut out = String::from(
        "One lead a step. When a step fails, the lead just plugged, or what it reached, is to blame.\n\
         Before the first step: the guitar lead straight into the amplifier; play; this is the sound to hold all else\n\
         against. Volume down before every plug.\n\n",
    );
    for (number, step) in steps.iter().enumerate() {
        let Some(lead) = wiring.leads.get(step.lead) else { continue };
        let (from, to) = ends(book, lead);
        let _ = writeln!(out, "{BOX} {:>3}  plug {} lead: {from} -> {to}", number + 1, lead.kind.word());
        let _ = writeln!(out, "         do:     {}", step.act);
        let _ = writeln!(out, "         expect: {}", step.expect);
    }
    out.push('\n');
    out + CAUTION
}

/// The steps as fields: number, kind, from, to, what to do, what to expect.
pub fn check_records(book: &Book, wiring: &Wiring, steps: &[Step]) -> Vec<[String; 6]> {
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
