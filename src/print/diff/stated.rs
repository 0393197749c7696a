//! What the files say, in words: statements about one thing on one line.

use std::collections::BTreeMap;

use super::page::{Line, Tone};
use super::words;
use crate::compare::stated::{Fact, Stated, Subject};
use crate::syntax::kind::Kind;

/// A statement that differs, and how it is told.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Told<'s> {
    /// What it is about: "pedal `sift`".
    pub(super) about: String,
    /// Which fact of it: `loop`, `knob range`; empty for the thing itself.
    pub(super) fact: String,
    pub(super) stated: &'s Stated,
}

/// In the order in which they read.
pub(super) fn told<'s>(stated: impl Iterator<Item = &'s Stated>) -> Vec<Told<'s>> {
    let one = |stated: &'s Stated| Told { about: about(&stated.about), fact: fact(&stated.fact), stated };
    let mut out: Vec<Told<'s>> = stated.map(one).collect();
    out.sort();
    out
}

fn about(subject: &Subject) -> String {
    match subject {
        Subject::The(Kind::Patch) => "patch leads".to_owned(),
        Subject::The(Kind::Limit) => "limit level step".to_owned(),
        Subject::The(Kind::Safe) => "safe switch".to_owned(),
        Subject::The(kind) => kind.name().to_owned(),
        Subject::Named(kind, name) => format!("{} `{name}`", kind.name()),
        Subject::Rule(text) => format!("rule {text}"),
        Subject::Saying(_, words) => words.clone(),
    }
}

fn fact(fact: &Fact) -> String {
    match fact {
        Fact::Itself => String::new(),
        Fact::Of(Kind::Ports) => "expressions".to_owned(),
        Fact::Of(Kind::Jacks) => "remote jacks".to_owned(),
        Fact::Of(Kind::OwnLoops) => "loops".to_owned(),
        Fact::Of(Kind::OnRemote | Kind::OnMidi | Kind::OnCc) => "on".to_owned(),
        Fact::Named(Kind::Kept, number) => format!("preset {number}"),
        Fact::Of(Kind::FootInputs) => "foot inputs".to_owned(),
        Fact::Of(kind) => kind.name().replace('-', " "),
        Fact::Named(kind, name) => format!("{} {name}", kind.name()),
        Fact::PanelJack(word, Some(number)) => format!("{word} {number}"),
        Fact::PanelJack(word, None) => word.clone(),
    }
}

/// Statements about one thing on one line; `ticked` says of which things the line has a box.
pub(super) fn grouped<'s>(stated: impl Iterator<Item = &'s Stated>, ticked: impl Fn(&Subject) -> bool) -> Vec<Line> {
    let told = told(stated);
    let mut out = Vec::new();
    for list in told.chunk_by(|a, b| a.about == b.about) {
        let Some(Told { about, stated: first, .. }) = list.first() else { continue };
        let whole = list.iter().find(|s| s.stated.fact == Fact::Itself);
        let (tone, fate) = match whole.map(|s| (&s.stated.was, &s.stated.now)) {
            Some((None, Some(_))) => (Tone::Came, " (new)"),
            Some((Some(_), None)) => (Tone::Went, " (gone)"),
            _ => (Tone::Turned, ""),
        };
        let says: Vec<String> = list.iter().filter_map(|told| says(told, tone)).collect();
        let says = if says.is_empty() { String::new() } else { format!(": {}", says.join("; ")) };
        out.push(Line { ticked: ticked(&first.about), ..Line::new(0, tone, format!("{about}{fate}{says}")) });
    }
    out
}

/// What is said of it beside its name.
fn says(told: &Told<'_>, tone: Tone) -> Option<String> {
    let Told { fact, stated, .. } = told;
    // `always on` is a fact and what is said of it, in the same words.
    let fact = if [&stated.was, &stated.now].iter().any(|said| said.as_ref() == Some(fact)) { "" } else { fact };
    let gap = if fact.is_empty() { "" } else { " " };
    match (tone, stated.was.as_deref(), stated.now.as_deref()) {
        // A statement known by its words says no more than them.
        (Tone::Came, ..) if matches!(stated.about, Subject::Saying(..)) => None,
        (Tone::Came, _, Some(now)) => (!now.is_empty()).then(|| format!("{fact}{gap}{now}")),
        (Tone::Went, ..) => None,
        (_, Some(""), Some(now)) => Some(format!("{fact}{gap}now {now}")),
        (_, was, now) => Some(format!("{fact}{gap}{}", words::change(was, now))),
    }
}

/// Knobs of pedals that stand on the board now, pedal by pedal.
pub(super) fn knobs<'s>(stated: impl Iterator<Item = &'s Stated>) -> Vec<Line> {
    let mut by_device: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for Told { stated, .. } in told(stated) {
        let (Subject::Named(_, device), Fact::Named(_, knob)) = (&stated.about, &stated.fact) else { continue };
        let Some(now) = &stated.now else { continue };
        by_device.entry(device).or_default().push(match &stated.was {
            Some(was) => format!("{knob} {was} → {now}"),
            None => format!("{knob} at {now}"),
        });
    }
    by_device.into_iter().map(|(device, says)| Line::ticked(0, format!("`{device}`: {}", says.join(", ")))).collect()
}
