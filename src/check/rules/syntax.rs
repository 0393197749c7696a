//! A line that cannot be read: a word misspelt, a comma or a quote left out, a brace without its partner.
//!
//! # On stage
//! The line means nothing yet, so what it was to set stays unset. Reading goes on with the next line, and
//! everything that depends on this one is left alone until it is mended.
//!
//! # Way out
//! Mend the line as the help says. `explain` of other codes and the grammar in `grammar/scene.ebnf` show each form.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal sift { loop 1 }
//! pedal throb { loop 2 }
//! scene bed { engage sift and throb }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed {
//!   engage throb
//!   throb depth 20 %
//! }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { mute }
//! sogn "Quay" { bed }
//! ```
//! ```scene
//! scene bed { mute }
//! song Quay at 92 bpm { bed }
//! ```
//! ```scene
//! scene bed { tempo 92 bpm }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed { close remote 1 }
//! song "Quay" { bed }
//! ```
//! ```scene
//! scene bed {
//!   mute
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal sift { loop 1 }
//! pedal throb { loop 2 }
//! scene bed { engage sift, throb }
//! song "Quay" at 92 bpm { bed }
//! ```

use crate::check::guess::{self, Guess};
use crate::check::mend::Mender;
use crate::check::{Diagnostic, Facts, Fix, Severity, say};
use crate::source::Span;
use crate::syntax::cursor::DEEPEST;
use crate::syntax::fault::Fault;
use crate::syntax::grammar::song::NOTE_VALUES;
use crate::syntax::registry;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let mut mender = Mender::new(facts);
    let mut before = Before::default();
    let mut numbered: Option<Diagnostic> = None;
    for fault in facts.reading {
        if before.explains(facts, fault) {
            continue;
        }
        // One habit, one report, however many outlets there are.
        if let Fault::Unexpected { at, expected, early: false } = fault
            && names_outlet(facts, *at, expected)
        {
            numbered = Some(match numbered.take() {
                Some(told) => told.other(*at, "and here"),
                None => outlets_numbered(facts, *at),
            });
            continue;
        }
        out.extend(match fault {
            Fault::Unexpected { at, expected, early: true } => Some(too_soon(facts, *at, expected)),
            Fault::Unexpected { at, expected, early: false } => Some(unexpected(facts, &mut mender, *at, expected)),
            Fault::TooDeep { at } => {
                let told = Diagnostic::new(*at, format!("this is nested deeper than {DEEPEST}"));
                Some(told.label("brackets and `not` go no deeper").help("take out brackets and `not` that are not needed, or split the rule"))
            }
            Fault::UnclosedBrace { at } => {
                let told = Diagnostic::new(*at, "this `{` is never closed");
                Some(told.label("the block that opens here has no end").help("put a `}` where the block ends"))
            }
            Fault::StrayBrace { at } => {
                let told = Diagnostic::new(*at, "this `}` closes nothing");
                Some(told.help("take it out, or put the `{` that it closes"))
            }
            Fault::UnclosedText { at } => {
                let told = Diagnostic::new(*at, "this text has no closing quote");
                Some(told.label("it ends with its line").help("close it with `\"`"))
            }
            _ => None,
        });
    }
    out.extend(numbered);
}

/// True for a number that stands for the name of an outlet: behind `outlet`, or behind `power brick.`.
fn names_outlet(facts: &Facts<'_>, at: Span, expected: &[&'static str]) -> bool {
    let digit = facts.text(at).starts_with(|c: char| c.is_ascii_digit());
    if !digit || !expected.contains(&"a name") {
        return false;
    }
    let before = facts.text(Span { start: 0, end: at.start, ..at }).trim_end();
    let word = |text: &str, word| text.strip_suffix(word).is_some_and(|rest| !rest.ends_with(|c: char| c.is_alphanumeric()));
    let supply = before.strip_suffix('.').map(|b| b.trim_end_matches(|c: char| c.is_alphanumeric() || c == '-').trim_end());
    word(before, "outlet") || supply.is_some_and(|before| word(before, "power"))
}

fn outlets_numbered(facts: &Facts<'_>, at: Span) -> Diagnostic {
    let text = facts.files.get(at.file).and_then(|f| f.text.get(at.start as usize..)).unwrap_or_default();
    let number = text.get(..text.find(|c: char| !c.is_alphanumeric()).unwrap_or(text.len())).unwrap_or_default();
    let at = Span { end: at.start + number.len() as u32, ..at };
    Diagnostic::new(at, format!("an outlet has a name, and `{number}` begins with a digit"))
        .help(format!("put a letter first wherever the outlet is named, as `outlet a{number}` and `power brick.a{number}`"))
}

/// The last number with a wrong unit, and the last word that could not stand where it did.
#[derive(Default)]
struct Before {
    unit: Option<Span>,
    word: Option<Span>,
}

impl Before {
    /// True for what stands behind a number with a wrong unit, and for a `}` behind what could not be read: no mistake
    /// of its own. Asked in the order of the text.
    fn explains(&mut self, facts: &Facts<'_>, fault: &Fault) -> bool {
        let gap = |before: Option<Span>, at: Span| {
            let before = before.filter(|b| b.file == at.file && b.end <= at.start)?;
            Some(facts.text(Span { start: before.end, end: at.start, ..at }))
        };
        match fault {
            Fault::UnitMissing { at } => {
                self.unit = Some(*at);
                false
            }
            Fault::Unexpected { at, early: false, .. } => {
                self.word = Some(*at);
                gap(self.unit, *at).is_some_and(|text| text.chars().all(|c| c == ' ' || c == '\t'))
            }
            Fault::StrayBrace { at } => gap(self.word, *at).is_some_and(|text| !text.contains('\n')),
            _ => false,
        }
    }
}

fn too_soon(facts: &Facts<'_>, at: Span, expected: &[&'static str]) -> Diagnostic {
    let last = facts.text(at);
    // A word that opens a statement is no pedal's name: no setting follows.
    let opens = registry::opens(last);
    let expected: Vec<&'static str> = expected.iter().copied().filter(|e| !(opens && *e == ".")).collect();
    // `muted` could be a pedal's name; it is nearer to a statement.
    if let ([".", ..], Some(near)) = (expected.as_slice(), guess::meant(facts, at)) {
        return Diagnostic::new(at, format!("no line begins with `{last}`")).help(format!("did you mean `{near}`?"));
    }
    Diagnostic::new(at, format!("the line ends after `{last}`, and more is wanted"))
        .label("the line ends here")
        .help(match guess::shape(facts, at) {
            Some(sample) => format!("go on with {}, as in `{sample}`", choices(&expected)),
            None => format!("go on with {}", choices(&expected)),
        })
}

fn unexpected(facts: &Facts<'_>, mender: &mut Mender<'_>, at: Span, expected: &[&'static str]) -> Diagnostic {
    let label = format!("what fits here: {}", choices(expected));
    match guess::guess(facts, mender, at, expected) {
        Some(Guess { at: word, says, help, edits, how, listed }) => {
            let mended = edits.as_ref().and_then(|e| say::mended(facts.files, e));
            let mut told = Diagnostic::new(word.unwrap_or(at), says);
            // Twenty words more are no help beside the one that was meant.
            told.label = Some(label).filter(|_| listed && expected.len() <= MOST);
            told.help = help.or_else(|| mended.as_ref().map(|line| format!("say `{line}`")));
            let Some(edits) = edits else { return told };
            let says = mended.map_or("mend the line".to_owned(), |line| format!("say `{line}`"));
            let told = told.mend(Fix { says, how, edits });
            match guess::shape(facts, at) {
                Some(sample) => told.help(format!("the whole reads as in `{sample}`")),
                None => told,
            }
        }
        None => {
            let word = facts.text(at);
            let told = Diagnostic::new(at, format!("`{}` cannot stand here", word.replace('`', "'"))).label(label);
            if matches!(word, "from" | "with") && behind_was(facts, at) {
                return told.help("`was` stands last, as in `scene a from b was c`");
            }
            match guess::shape(facts, at) {
                Some(sample) => told.help(format!("the whole reads as in `{sample}`")),
                None => told,
            }
        }
    }
}

/// True behind `scene a was b`.
fn behind_was(facts: &Facts<'_>, at: Span) -> bool {
    let before = facts.text(Span { start: 0, end: at.start, ..at });
    let line = before.rsplit(['\n', '\r', ';', '{', '}']).next().unwrap_or_default();
    let mut words = line.split_whitespace();
    words.next() == Some("scene") && words.any(|word| word == "was")
}

/// So many words that would fit are listed.
const MOST: usize = 5;

/// What would have been accepted, in words; long lists are cut.
fn choices(expected: &[&'static str]) -> String {
    let mut words: Vec<String> = Vec::new();
    for what in expected {
        let value = NOTE_VALUES.contains(what);
        let word = match *what {
            _ if value => "a note value, as `eighth` or `dotted-eighth`".to_owned(),
            "a text in quotes" => "a text in quotes, as `\"this\"`".to_owned(),
            what if what.contains(' ') => what.to_owned(),
            what => format!("`{what}`"),
        };
        if !words.contains(&word) {
            words.push(word);
        }
    }
    if words.len() > MOST {
        words.truncate(MOST - 1);
        return format!("{} and others", words.join(", "));
    }
    say::joined(&words, "or")
}
