//! The part of the page that tells which plugs to move.

use super::page::{Line, Section};
use super::words;
use crate::Compiled;
use crate::book::DeviceKind;
use crate::compare::Comparison;
use crate::compare::leads::{Forgotten, Moved};
use crate::print::night::CAUTION;
use crate::print::wiring::{ends, length, polarity};
use crate::study::wiring::{Jack, Lead, end};

/// Plugs to move, leads to take out and to put in, by the numbers of the lead lists; then what the panel forgot.
pub(super) fn leads(comparison: &Comparison<'_>) -> Section {
    let leads = &comparison.leads;
    let lines: Vec<String> = told(comparison).into_iter().map(|(text, _)| text).chain(panel(comparison)).collect();
    let count = |n: usize, what: &str| format!("{} to {what}", words::count(n, "lead"));
    let mut lead = format!(
        "{} to move, {}, {}.",
        words::count(leads.moved.len(), "plug"),
        count(leads.out.len(), "take out"),
        count(leads.put_in.len(), "put in")
    );
    if !leads.moved.is_empty() {
        lead += " Volume down, supplies off; pull every plug that is listed, then plug.";
    }
    if at_an_amplifier(comparison) {
        lead = format!("{lead} {CAUTION}");
    }
    Section { title: "Leads".to_owned(), lead, lines: lines.into_iter().map(|text| Line::ticked(0, text)).collect() }
}

/// True when a lead at an amplifier is moved, taken out or put in.
fn at_an_amplifier(comparison: &Comparison<'_>) -> bool {
    let leads = &comparison.leads;
    let amp = |book: &Compiled, lead: Option<&Lead>| {
        let is = |jack: &Jack| match jack {
            Jack::Input(d, _)
            | Jack::Output(d, _)
            | Jack::Send(d)
            | Jack::Return(d, _)
            | Jack::LegSend(d, _)
            | Jack::LegReturn(d, _)
            | Jack::Key(d)
            | Jack::RemoteIn(d, ..) => book.book.board.devices.get(*d).is_some_and(|d| d.kind == DeviceKind::Amp),
            _ => false,
        };
        lead.is_some_and(|lead| std::iter::once(&lead.from).chain(&lead.to).any(is))
    };
    let olds = leads.out.iter().copied().chain(leads.moved.iter().map(|m| m.lead.0));
    let news = leads.put_in.iter().copied().chain(leads.moved.iter().map(|m| m.lead.1));
    olds.into_iter().any(|at| amp(comparison.old, was(comparison, at)))
        || news.into_iter().any(|at| amp(comparison.new, now(comparison, at)))
}

/// Each difference of a lead: what is said of it, and for programs what it is, with its old and new number.
pub(super) fn told(comparison: &Comparison<'_>) -> Vec<(String, Told)> {
    let leads = &comparison.leads;
    let mut out = Vec::new();
    for lead in leads.out.iter().filter_map(|at| was(comparison, *at)) {
        let (from, to) = ends(&comparison.old.book, lead);
        let text = format!("lead {}: take out, {} from {from} to {to}", lead.number, made(lead));
        out.push((
            text,
            Told { what: "out", was: Some(lead.number), from: Some(from), to: Some(to), ..Told::default() },
        ));
    }
    out.extend(plugs(comparison, &leads.moved, "moved", |from, to| format!("from {from} to {to}")));
    for lead in &leads.other {
        let (Some(old), Some(new)) = (was(comparison, lead.0), now(comparison, lead.1)) else { continue };
        let turned = [(length(old), length(new)), (polarity(old), polarity(new))];
        for (from, to) in turned.into_iter().filter(|(from, to)| from != to) {
            let said = |text: &str| if text.is_empty() { "not stated".to_owned() } else { text.to_owned() };
            let text = format!("lead {}: {} → {}", number(comparison, *lead), said(&from), said(&to));
            out.push((text, Told::of("made", (old.number, new.number), from, to)));
        }
    }
    out.extend(plugs(comparison, &leads.renamed, "renamed", |from, to| format!("its label: {from} → {to}")));
    out.extend(renumbered(comparison));
    for lead in leads.put_in.iter().filter_map(|at| now(comparison, *at)) {
        let (from, to) = ends(&comparison.new.book, lead);
        let text = format!("lead {}: put in, {} from {from} to {to}", lead.number, made(lead));
        out.push((
            text,
            Told { what: "in", now: Some(lead.number), from: Some(from), to: Some(to), ..Told::default() },
        ));
    }
    out
}

/// A difference of a lead, for programs.
#[derive(Default)]
pub(super) struct Told {
    /// `out`, `moved`, `made`, `renamed`, `numbered` or `in`.
    pub(super) what: &'static str,
    pub(super) was: Option<usize>,
    pub(super) now: Option<usize>,
    pub(super) from: Option<String>,
    pub(super) to: Option<String>,
}

impl Told {
    fn of(what: &'static str, (was, now): (usize, usize), from: String, to: String) -> Told {
        Told { what, was: Some(was), now: Some(now), from: Some(from), to: Some(to) }
    }
}

fn was<'c>(comparison: &Comparison<'c>, at: usize) -> Option<&'c Lead> {
    comparison.old.wiring().leads.get(at)
}

fn now<'c>(comparison: &Comparison<'c>, at: usize) -> Option<&'c Lead> {
    comparison.new.wiring().leads.get(at)
}

fn numbers(comparison: &Comparison<'_>, lead: (usize, usize)) -> Option<(usize, usize)> {
    Some((was(comparison, lead.0)?.number, now(comparison, lead.1)?.number))
}

/// The number on the lead, and the one that it gets.
fn number(comparison: &Comparison<'_>, lead: (usize, usize)) -> String {
    match numbers(comparison, lead) {
        Some((was, now)) if was != now => format!("{was} (now {now})"),
        found => found.map_or(String::new(), |(was, _)| was.to_string()),
    }
}

/// Kind, length and polarity.
fn made(lead: &Lead) -> String {
    let says = [lead.kind.word().to_owned(), length(lead), polarity(lead)];
    says.into_iter().filter(|says| !says.is_empty()).collect::<Vec<_>>().join(", ")
}

fn plugs(
    comparison: &Comparison<'_>,
    moved: &[Moved],
    what: &'static str,
    says: impl Fn(&str, &str) -> String,
) -> Vec<(String, Told)> {
    let one = |moved: &Moved| {
        let from = end(&comparison.old.book.board, &moved.from);
        let to = end(&comparison.new.book.board, &moved.to);
        let text = format!("lead {}: {}", number(comparison, moved.lead), says(&from, &to));
        Some((text, Told::of(what, numbers(comparison, moved.lead)?, from, to)))
    };
    moved.iter().filter_map(one).collect()
}

/// Numbers that turn, leads in a row on one line.
fn renumbered(comparison: &Comparison<'_>) -> Vec<(String, Told)> {
    let all: Vec<(usize, usize)> =
        comparison.leads.renumbered.iter().filter_map(|lead| numbers(comparison, *lead)).collect();
    let rows = all.chunk_by(|a, b| (a.0 + 1, a.1 + 1) == *b);
    let told = rows.filter_map(|row| {
        let (first, last) = (row.first()?, row.last()?);
        let text = if row.len() == 1 {
            format!("lead {} is now lead {}: print its labels", first.0, first.1)
        } else {
            format!("leads {} to {} are now {} to {}: print their labels", first.0, last.0, first.1, last.1)
        };
        let row = |from: usize, to: usize| if from == to { from.to_string() } else { format!("{from} to {to}") };
        Some((text, Told::of("numbered", *first, row(first.0, last.0), row(first.1, last.1))))
    });
    told.collect()
}

/// What the panel forgot.
pub(super) fn panel(comparison: &Comparison<'_>) -> Vec<String> {
    let (old, new) = (&comparison.old.book.board, &comparison.new.book.board);
    let says = |jack: &Jack| end(new, jack);
    let one = |forgotten: &Forgotten| match forgotten {
        Forgotten::Unfed(jack) => format!("{}: nothing leads there any more; was it forgotten?", says(jack)),
        Forgotten::Past { was, stage, other } => {
            let had = was.as_ref().map_or(String::new(), |jack| format!(", which was {}", end(old, jack)));
            format!(
                "the panel has no jack for {}{had}: {} goes straight there; was it forgotten?",
                says(stage),
                says(other)
            )
        }
        Forgotten::Inward { jack, to } => {
            format!("{}: led to the stage, and leads back to {} on the board; was it forgotten?", says(jack), says(to))
        }
    };
    comparison.leads.forgotten.iter().map(one).collect()
}
