//! A comparison told: first what is heard, then what must be done.

use super::page::{Line, Reader, Section, Tone, blocks};
use super::{calls, feet, heard, inside, leads, todo, words};
use crate::Compiled;
use crate::compare::Comparison;
use crate::compare::pairing::THRESHOLD;
use crate::compare::pairing::assign::MOST;
use crate::compare::sets::{Fate, LineName, SetChange};
use crate::compare::unit::Unit;
use crate::print::doc::{Block, Doc, Item, List, Mark, named, para};

/// All there is to tell a reader.
pub fn doc(comparison: &Comparison<'_>, reader: Reader) -> Doc {
    let mut sections = Vec::new();
    if reader != Reader::Tech {
        sections.push(heard::songs(comparison));
    } else {
        sections.push(heard::facts(comparison));
    }
    sections.push(sets(comparison));
    sections.push(calls::calls(comparison));
    if reader == Reader::Player {
        sections.push(feet::pressed(comparison));
        sections.push(feet::reached(comparison));
        sections.push(feet::knobs(comparison));
    } else {
        sections.push(heard::scenes(comparison));
        sections.push(todo::hardware(comparison));
        sections.push(leads::leads(comparison));
        sections.push(todo::knobs(comparison));
        sections.push(todo::rules(comparison));
        sections.push(todo::worksheet(comparison));
        sections.extend(todo::helpers(comparison));
        sections.push(inside::section(comparison));
        sections.push(todo::touched(comparison));
        sections.push(todo::step_through(comparison));
    }
    sections.retain(|s| !s.lines.is_empty());
    let mut lead = Vec::new();
    if comparison.same() {
        lead.push("no difference".to_owned());
    } else if sections.is_empty() {
        let (who, other) = if reader == Reader::Player { ("player", "tech") } else { ("tech", "player") };
        lead.push(format!("nothing for the {who}; what differs is told with `--for {other}`"));
    }
    lead.extend(drafts(comparison));
    lead.extend(matching(comparison));
    let (was, now) = &comparison.sources;
    let title = title((comparison.old, was), (comparison.new, now));
    let line = |text: String| Item { depth: 0, mark: Mark::None, words: named(&text) };
    let mut told = Vec::new();
    if !lead.is_empty() {
        told.push(Block::List(List { columns: (0, 2), items: lead.into_iter().map(line).collect() }));
    }
    told.extend(sections.into_iter().flat_map(blocks));
    let draft = comparison.old.errors() + comparison.new.errors() > 0;
    Doc { opening: format!("{title}\n"), small: title.clone(), title, draft, blocks: told, ..Doc::default() }
}

/// What must be done to a unit of which a record is known.
pub fn of_unit(comparison: &Comparison<'_>, unit: &Unit) -> Doc {
    let mut doc = doc(comparison, Reader::Tech);
    doc.blocks.extend(blocks(todo::others(comparison.new, unit)));
    doc.blocks.extend(calls::not_looked_at(comparison.old, comparison.new).map(para));
    doc
}

/// Both books.
pub(super) fn title((old, was): (&Compiled, &str), (new, now): (&Compiled, &str)) -> String {
    format!("{} → {}", book(old, was), book(new, now))
}

/// A book by its title, its version word and its source's fingerprint.
fn book(compiled: &Compiled, source: &str) -> String {
    if compiled.is_unit() {
        let record = compiled.book.board.title.as_ref().map_or("", |title| &title.value);
        return format!("what {record} says is in the unit");
    }
    let title = compiled.book.board.title.as_ref().map_or("a board without a name", |b| b.value.as_str());
    let version = compiled.book.board.version.as_ref().map_or(String::new(), |v| format!("{}, ", v.value));
    let night = crate::print::night::of(compiled).map_or(String::new(), |says| format!("{says}, "));
    format!("{title} ({version}{night}source {source})")
}

fn drafts(comparison: &Comparison<'_>) -> Vec<String> {
    let draft = |c: &Compiled, which: &str| {
        (c.errors() > 0).then(|| format!("DRAFT: the {which} book has errors; what is not known is not compared"))
    };
    [draft(comparison.old, "old"), draft(comparison.new, "new")].into_iter().flatten().collect()
}

/// What was taken for the same under another name, and how far to trust it.
fn matching(comparison: &Comparison<'_>) -> Vec<String> {
    let mut out = Vec::new();
    for renamed in &comparison.matched.renamed {
        out.push(format!(
            "{} `{}` is taken for what was `{}`: {} % alike (no less than {} % counts); `--no-renames` keeps them apart",
            words::paired(renamed.kind),
            renamed.now,
            renamed.was,
            renamed.likeness / 10,
            THRESHOLD / 10,
        ));
    }
    for kind in &comparison.matched.greedy {
        out.push(format!("more than {MOST} {}s without a partner: the most alike were paired first, so the pairs are good but may not be the best", words::paired(*kind)));
    }
    out
}

fn sets(comparison: &Comparison<'_>) -> Section {
    let lines = comparison.sets.iter().flat_map(set).collect();
    Section { title: "Sets".to_owned(), lead: String::new(), lines }
}

fn set(set: &SetChange) -> Vec<Line> {
    let mut out = vec![match (&set.was, &set.now) {
        (None, Some(now)) => Line::new(0, Tone::Came, format!("\"{now}\" is new")),
        (Some(was), None) => Line::new(0, Tone::Went, format!("\"{was}\" is gone")),
        (Some(was), Some(now)) if was != now => Line::new(0, Tone::Turned, format!("\"{now}\" (was \"{was}\")")),
        _ => Line::new(0, Tone::Turned, format!("\"{}\"", set.name())),
    }];
    let behind = |after: &Option<LineName>| match after {
        Some(LineName::Pause(pause)) => format!("after the pause \"{pause}\""),
        Some(LineName::Song(song)) => format!("after \"{song}\""),
        Some(LineName::Encore) => "first of the encore".to_owned(),
        None => "first".to_owned(),
    };
    for line in &set.lines {
        let what = match &line.name {
            LineName::Song(title) => format!("\"{title}\""),
            LineName::Pause(text) => format!("pause \"{text}\""),
            LineName::Encore => "the start of the encore".to_owned(),
        };
        out.push(match &line.fate {
            Fate::Came(after) => Line::new(1, Tone::Came, format!("{what} comes in, {}", behind(after))),
            Fate::Went => Line::new(1, Tone::Went, format!("{what} is out")),
            Fate::Moved(after) => Line::new(1, Tone::Turned, format!("{what} moves, now {}", behind(after))),
        });
    }
    out
}
