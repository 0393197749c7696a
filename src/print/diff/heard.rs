//! The part of the page that tells what is heard.

use std::collections::BTreeMap;

use super::page::{Line, Section, Tone};
use super::sound::{fact, note, phrases, tone};
use super::words::{self, list};
use crate::compare::Comparison;
use crate::compare::heard::{PartChange, SceneChange, SongChange};

/// A change that so many songs share is told once for all of them.
const SHARED: usize = 3;

/// Song by song; what several songs share comes first.
pub(super) fn songs(comparison: &Comparison<'_>) -> Section {
    let replaced = replaced(comparison);
    let quoted = |songs: Vec<&SongChange>| songs.iter().map(|s| format!("\"{}\"", s.name())).collect::<Vec<_>>();
    let fresh = quoted(comparison.songs.iter().filter(|s| s.was.is_none()).collect());
    let gone = quoted(comparison.songs.iter().filter(|s| s.now.is_none()).collect());
    let mut lines = Vec::new();
    if !fresh.is_empty() {
        lines.push(Line::new(0, Tone::Came, format!("new: {}", list(&fresh))));
    }
    if !gone.is_empty() {
        lines.push(Line::new(0, Tone::Went, format!("no longer in the book: {}", list(&gone))));
    }
    let shared = shared(comparison, &replaced);
    for (phrase, places) in &shared {
        lines.push(Line::new(0, Tone::Turned, format!("{phrase} in {} songs: {}", places.len(), list(places))));
    }
    for song in comparison.songs.iter().filter(|s| s.was.is_some() && s.now.is_some()) {
        let inner = song_lines(song, &replaced, &shared);
        if inner.is_empty() && song.was == song.now {
            continue;
        }
        let was = song.was.as_ref().filter(|w| song.now.as_ref() != Some(*w));
        let was = was.map_or(String::new(), |w| format!(" (was \"{w}\")"));
        lines.push(Line::new(0, Tone::Turned, format!("\"{}\"{was}", song.name())));
        lines.extend(inner);
    }
    Section { title: "Heard, song by song".to_owned(), lead: String::new(), lines }
}

/// Tempo, guitar and tuning alone: what the tech has ready.
pub(super) fn facts(comparison: &Comparison<'_>) -> Section {
    let mut lines = Vec::new();
    for song in comparison.songs.iter().filter(|s| s.was.is_some() && s.now.is_some() && !s.facts.is_empty()) {
        let says = fact_words(song).collect::<Vec<_>>().join("; ");
        lines.push(Line::new(0, Tone::Turned, format!("\"{}\": {says}", song.name())));
    }
    Section { title: "Guitars, tunings, tempos".to_owned(), lead: String::new(), lines }
}

fn fact_words(song: &SongChange) -> impl Iterator<Item = String> {
    let says = |(what, was, now): (&str, Option<String>, Option<String>)| {
        format!("{what} {}", words::change(was.as_deref(), now.as_deref()))
    };
    song.facts.iter().map(fact).map(says)
}

type Shared = BTreeMap<String, Vec<String>>;

/// Phrases that are all there is to say of a part, in so many songs that they are told once.
fn shared(comparison: &Comparison<'_>, replaced: &[(String, String)]) -> Shared {
    let mut out: BTreeMap<String, BTreeMap<&str, Vec<String>>> = BTreeMap::new();
    for song in &comparison.songs {
        for part in song.parts.iter().filter(|p| alone(p)) {
            let (phrase, more) = says(part, replaced);
            let label = part.now.as_deref().unwrap_or("");
            let label = if more.is_empty() { label.to_owned() } else { format!("{label}, {more}") };
            let labels = out.entry(phrase).or_default().entry(song.name()).or_default();
            if !labels.contains(&label) {
                labels.push(label);
            }
        }
    }
    out.retain(|_, songs| songs.len() >= SHARED);
    let place = |(song, parts): (&str, Vec<String>)| format!("\"{song}\" ({})", parts.join("; "));
    out.into_iter().map(|(phrase, songs)| (phrase, songs.into_iter().map(place).collect())).collect()
}

/// A part of which only its sound differs.
fn alone(part: &PartChange) -> bool {
    part.was == part.now
        && part.notes.0.is_empty()
        && part.notes.1.is_empty()
        && !(part.changes.is_empty() && part.tone.same())
}

/// What there is to say of a part's sound, and how level and treble change when that is not all.
fn says(part: &PartChange, replaced: &[(String, String)]) -> (String, String) {
    let turns = phrases(&part.changes, replaced).join(", ");
    let tone = tone(part.tone).join(", ");
    if turns.is_empty() { (tone, turns) } else { (turns, tone) }
}

fn song_lines(song: &SongChange, replaced: &[(String, String)], shared: &Shared) -> Vec<Line> {
    let mut out: Vec<Line> = fact_words(song).map(|says| Line::new(1, Tone::Turned, says)).collect();
    if song.reordered {
        out.push(Line::new(1, Tone::Turned, "the parts come in another order"));
    }
    // Parts of which the same is to be told share a line.
    let mut told: Vec<(Tone, String, Vec<String>)> = Vec::new();
    for part in &song.parts {
        let (tone, label, says) = part_words(part, replaced);
        if alone(part) && shared.contains_key(&self::says(part, replaced).0) {
            continue;
        }
        match told.iter_mut().find(|t| t.0 == tone && t.1 == says) {
            Some(found) => found.2.push(label),
            None => told.push((tone, says, vec![label])),
        }
    }
    out.extend(told.into_iter().map(|(tone, says, parts)| Line::new(1, tone, format!("{}: {says}", parts.join(", ")))));
    out
}

fn part_words(part: &PartChange, replaced: &[(String, String)]) -> (Tone, String, String) {
    let plays = |s: &Option<String>| s.as_ref().map_or(String::new(), |s| format!(", plays `{s}`"));
    match (&part.was, &part.now) {
        (None, Some(now)) => return (Tone::Came, now.clone(), format!("a new part{}", plays(&part.scenes.1))),
        (Some(was), None) => return (Tone::Went, was.clone(), "no longer played".to_owned()),
        _ => {}
    }
    let mut says = phrases(&part.changes, replaced);
    says.extend(tone(part.tone));
    says.extend(part.notes.0.iter().map(|n| format!("no longer {}", note(n))));
    says.extend(part.notes.1.iter().map(|n| format!("now {}", note(n))));
    let name = part.now.clone().unwrap_or_default();
    if let Some(was) = part.was.as_ref().filter(|w| **w != name) {
        says.insert(0, format!("was called {was}"));
    }
    (Tone::Turned, name, says.join(", "))
}

/// Scene by scene, with the songs that play them.
pub(super) fn scenes(comparison: &Comparison<'_>) -> Section {
    let replaced = replaced(comparison);
    let ticks = |pick: &dyn Fn(&SceneChange) -> bool| {
        comparison.scenes.iter().filter(|s| pick(s)).map(|s| format!("`{}`", s.name())).collect::<Vec<_>>()
    };
    let mut lines = Vec::new();
    let fresh = ticks(&|s| s.was.is_none());
    if !fresh.is_empty() {
        lines.push(Line::new(0, Tone::Came, format!("new: {}", list(&fresh))));
    }
    let gone = ticks(&|s| s.now.is_none());
    if !gone.is_empty() {
        lines.push(Line::new(0, Tone::Went, format!("gone: {}", list(&gone))));
    }
    for scene in &comparison.scenes {
        let (Some(was), Some(now)) = (&scene.was, &scene.now) else { continue };
        let name = if was == now { format!("`{now}`") } else { format!("`{now}` (was `{was}`)") };
        let mut says = phrases(&scene.changes, &replaced);
        // Guitars on which the same changes share a phrase.
        let mut told: Vec<(String, Vec<String>)> = Vec::new();
        for (guitar, change) in &scene.tones {
            let phrase = tone(*change).join(", ");
            match told.iter_mut().find(|(says, _)| *says == phrase) {
                Some((_, guitars)) => guitars.push(guitar.clone()),
                None => told.push((phrase, vec![guitar.clone()])),
            }
        }
        says.extend(told.into_iter().map(|(phrase, guitars)| format!("on {} {phrase}", list(&guitars))));
        let says = if says.is_empty() { "sounds as before".to_owned() } else { says.join(", ") };
        let songs = scene.songs.iter().map(|s| format!("\"{s}\"")).collect::<Vec<_>>();
        let songs = if songs.is_empty() { "in no song".to_owned() } else { format!("in {}", list(&songs)) };
        lines.push(Line::new(0, Tone::Turned, format!("{name}: {says}; {songs}")));
    }
    Section { title: "Heard, scene by scene".to_owned(), lead: String::new(), lines }
}

/// A pedal that sits in the loop where another sat, the other one gone.
fn replaced(comparison: &Comparison<'_>) -> Vec<(String, String)> {
    let (old, new) = (&comparison.old.book.board.devices, &comparison.new.book.board.devices);
    let matched = &comparison.matched.devices;
    let gone = |name: &str| old.position(|d| d.name == name).is_some_and(|at| matched.new_of(at).is_none());
    let fresh = |name: &str| new.position(|d| d.name == name).is_some_and(|at| matched.old_of(at).is_none());
    let pairs = comparison.rewired.iter().filter_map(|r| Some((r.was.clone()?, r.now.clone()?)));
    pairs.filter(|(was, now)| gone(was) && fresh(now)).collect()
}
