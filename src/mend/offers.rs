//! What diagnostics offer, made in memory and compiled before anybody is told: an offer that leads to another error is none.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::Compiled;
use crate::check::{Diagnostic, How, Severity};
use crate::driver;
use crate::source::Span;
use crate::syntax::edit::{Edit, rewrite};

/// So often a book is compiled at most for what is offered, so many bytes of text are compiled in all, and so many steps of
/// proving and of following pulses are taken, as far as the book itself tells them: of a large or a hard book less is tried.
/// What was not tried is not told.
const MOST: usize = 40;
const MOST_BYTES: usize = 4_000_000;
const MOST_STEPS: usize = 8_000_000;

/// Errors of what is written, not of what it means: a name or a sign put in must not be one.
const READING: [&str; 8] = [
    "contact-unclear",
    "control-unknown",
    "duplicate-name",
    "name-reserved",
    "state-unknown",
    "syntax",
    "unknown-name",
    "unknown-song",
];

type Edits = [(Span, String)];

/// Diagnostics of a book as they are told: of what they offer, what holds for the whole book.
pub fn tried(book: &Compiled, found: &[Diagnostic]) -> Vec<Diagnostic> {
    let mut out = found.to_vec();
    let most = if found.iter().all(|d| d.ways.is_empty() && d.fix.is_none()) { 0 } else { tries(book) };
    // The first change of each before the second of any.
    let deepest = found.iter().map(|d| d.ways.len() + usize::from(d.fix.is_some())).max().unwrap_or(0);
    let offered = |nth: usize| found.iter().zip(0..).filter_map(move |(d, at)| Some((at, d, offer(d, nth)?)));
    let jobs: Vec<(usize, &Diagnostic, &Edits)> = (0..deepest).flat_map(offered).take(most).collect();
    let before = if jobs.is_empty() { None } else { Before::of(book) };
    let tried: Vec<(usize, &Edits, bool)> = match &before {
        Some(before) => jobs.into_par_iter().map(|(at, d, edits)| (at, edits, before.holds(d, edits))).collect(),
        None => Vec::new(),
    };
    let mut held: BTreeMap<usize, Vec<(&Edits, bool)>> = BTreeMap::new();
    for (at, edits, holds) in tried {
        held.entry(at).or_default().push((edits, holds));
    }
    for (at, d) in out.iter_mut().enumerate() {
        keep(d, held.get(&at).map_or(&[], Vec::as_slice));
    }
    out
}

/// How many changes of a book may be tried.
fn tries(book: &Compiled) -> usize {
    let reach = &book.momentary.reach;
    let steps = book.rules().steps as usize + reach.arrivals.len();
    let most = MOST.min(MOST_BYTES / book.files.size().max(1)).min(MOST_STEPS / steps.max(1));
    if reach.cut_short { 0 } else { most }
}

/// The changes of a diagnostic by number; its mend is the last, unless it is one of the others.
fn offer(d: &Diagnostic, nth: usize) -> Option<&Edits> {
    let fix = d.fix.as_ref().filter(|fix| d.ways.iter().all(|way| way.edits != fix.edits));
    let fix = fix.filter(|_| nth == d.ways.len()).map(|fix| fix.edits.as_slice());
    d.ways.get(nth).map(|way| way.edits.as_slice()).or(fix)
}

/// Leaves a diagnostic what holds. A mend was read again where it stands: it is told untried, too.
fn keep(d: &mut Diagnostic, tried: &[(&Edits, bool)]) {
    let fix = d.fix.as_ref().map(|fix| fix.edits.clone());
    let holds = |edits: &Edits| {
        let untried = fix.as_deref() == Some(edits);
        tried.iter().find(|(of, _)| *of == edits).map_or(untried, |(_, holds)| *holds)
    };
    d.ways.retain(|way| holds(&way.edits));
    d.fix = d.fix.take().filter(|fix| holds(&fix.edits));
    d.settle_help();
}

/// The same where nothing can be tried.
pub fn untried<'d>(found: impl Iterator<Item = &'d Diagnostic>) -> Vec<Diagnostic> {
    let mut out: Vec<Diagnostic> = found.cloned().collect();
    out.iter_mut().for_each(|d| keep(d, &[]));
    out
}

/// How often each thing is told.
type Counts<'c> = BTreeMap<(&'c str, &'c str), usize>;

fn counts(found: &[Diagnostic], severity: Severity) -> Counts<'_> {
    let mut out = Counts::new();
    for d in found.iter().filter(|d| d.severity == severity) {
        *out.entry((d.code, d.message.as_str())).or_default() += 1;
    }
    out
}

/// The book that changes are tried on.
struct Before<'c> {
    book: &'c Compiled,
    errors: Counts<'c>,
    /// Warnings are looked for in a book without errors only.
    warnings: usize,
}

impl<'c> Before<'c> {
    /// None where another compilation would read something else: files that could not be read or be found.
    fn of(book: &'c Compiled) -> Option<Before<'c>> {
        let read = book.loading.is_empty() && book.files.iter().all(|(_, f)| f.not_utf8.is_none());
        let errors = counts(book.mistakes(), Severity::Error);
        let warnings = if errors.is_empty() { warnings(book) } else { 0 };
        read.then_some(Before { book, errors, warnings })
    }

    /// The book is told less of after these edits, and nothing new.
    fn holds(&self, d: &Diagnostic, edits: &Edits) -> bool {
        let mut by_file: BTreeMap<u32, Vec<Edit>> = BTreeMap::new();
        for (at, text) in edits {
            by_file.entry(at.file).or_default().push(Edit::new(*at, text));
        }
        // What ships is nobody's to change.
        let own = |number: &u32| self.book.files.get(*number).filter(|file| !file.shipped);
        let texts = by_file.into_iter().map(|(number, edits)| Some((number, rewrite(&own(&number)?.text, edits))));
        let Some(texts) = texts.collect::<Option<BTreeMap<u32, String>>>() else { return false };
        let after = driver::compile_changed(self.book, &texts);
        let errors = counts(after.mistakes(), Severity::Error);
        let of = |counts: &Counts<'_>| counts.get(&(d.code, d.message.as_str())).copied().unwrap_or(0);
        let gone = match d.severity {
            Severity::Error => of(&errors) < of(&self.errors),
            severity => {
                let now = counts(after.diagnostics(), severity);
                of(&now) == 0
                    && (!self.errors.is_empty() || severity != Severity::Warning || warnings(&after) < self.warnings)
            }
        };
        let new = |d: &&Diagnostic| {
            let key = (d.code, d.message.as_str());
            errors.get(&key).copied().unwrap_or(0) > self.errors.get(&key).copied().unwrap_or(0)
        };
        gone && after.mistakes().iter().filter(new).all(|new| self.uncovered(d, edits, new, &after))
    }

    /// A mistake that stood there before, and could not be seen past what could not be read.
    fn uncovered(&self, of: &Diagnostic, edits: &Edits, new: &Diagnostic, after: &Compiled) -> bool {
        let Some(fix) = of.fix.as_ref().filter(|_| READING.contains(&of.code)) else {
            return false;
        };
        // A sign put in is wrong with what stands beside it; a name is wrong in itself.
        let beside = if of.code == "syntax" { 1 } else { -1 };
        let mut sorted: Vec<&(Span, String)> = edits.iter().collect();
        sorted.sort_by_key(|(at, _)| *at);
        let mut moved: BTreeMap<u32, i64> = BTreeMap::new();
        sorted.into_iter().all(|(at, text)| {
            let moved = moved.entry(at.file).or_default();
            let start = i64::from(at.start) + *moved;
            let end = start + text.len() as i64;
            *moved += text.len() as i64 - i64::from(at.end - at.start);
            if self.book.files.path(*at) != after.files.path(new.at) {
                return true;
            }
            let meets = |from: i64, to: i64| i64::from(new.at.start) <= to && i64::from(new.at.end) >= from;
            let line =
                |offset: i64| after.files.place(Span { start: offset as u32, end: offset as u32, ..new.at }).line;
            let guessed = fix.how == How::Offer && line(start) == after.files.place(new.at).line;
            !(guessed || READING.contains(&new.code) && meets(start - beside, end + beside))
        })
    }
}

fn warnings(book: &Compiled) -> usize {
    book.diagnostics().iter().filter(|d| d.severity == Severity::Warning).count()
}
