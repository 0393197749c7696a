//! The stage page: one offline page for a phone or a tablet.

use maud::{Markup, PreEscaped, html as markup};
use serde::Serialize;

use super::doc::html;
use super::sheet::{Act, ActKind, Entry, Night, Sheet, SongBlock, reading};

const STYLE: &str = include_str!("stage.css");
const SCRIPT: &str = include_str!("stage.js");
/// Nothing is fetched: what the page needs is in it.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";

#[derive(Serialize)]
struct Show<'s> {
    /// What the place is remembered under.
    key: String,
    nights: Vec<Shown<'s>>,
}

#[derive(Serialize)]
struct Shown<'s> {
    title: &'s str,
    songs: usize,
    steps: Vec<Stop<'s>>,
}

/// Where the page can stand: a part, or a pause.
#[derive(Serialize)]
struct Stop<'s> {
    /// The song's number from 1; 0 for a pause.
    number: usize,
    song: &'s str,
    facts: String,
    /// What to do before the song's first part.
    before: Vec<String>,
    part: &'s str,
    slot: &'s str,
    held: bool,
    acts: Vec<(&'static str, &'s str)>,
}

/// The whole page.
pub fn write(sheet: &Sheet) -> String {
    let title = reading::heading(sheet);
    let show =
        Show { key: format!("tipring {title} {}", sheet.version), nights: sheet.nights.iter().map(shown).collect() };
    // Inside a script element only `<` could end it.
    let data = serde_json::to_string(&show).unwrap_or_default().replace('<', "\\u003c");
    let policy = markup! { meta http-equiv="Content-Security-Policy" content=(POLICY); };
    let body = markup! {
        (body(sheet, &title))
        script id="show" type="application/json" { (PreEscaped(data)) }
        script { (PreEscaped(SCRIPT)) }
    };
    html::page(&format!("{title}, stage"), STYLE, &policy, &body)
}

fn body(sheet: &Sheet, title: &str) -> Markup {
    markup! {
        @if sheet.draft { p.draft role="alert" { "DRAFT: the book has errors" } }
        header {
            p.board { (title) @if !sheet.version.is_empty() { " · " (sheet.version) } }
            label for="night" { "set" }
            select #night { @for (n, night) in sheet.nights.iter().enumerate() { option value=(n) { (night.title) } } }
            button #light type="button" aria-pressed="false" { "light" }
            span #awake role="status" {}
        }
        main #now tabindex="-1" {
            noscript { p { "This page steps through the set with a script; the list below needs none." } }
            div #said aria-live="polite" {
                div.head {
                    p #count {}
                    h1 #song {}
                    p #facts {}
                    p #before hidden {}
                }
                div.big {
                    p.slot #slot {}
                    p #part {}
                    p #held hidden { svg viewBox="0 0 66 62" aria-hidden="true" { polygon points="0,62 66,62 66,0 0,42" {} } " foot holds" }
                }
                ul #acts {}
            }
            ol #parts aria-label="parts of this song" {}
        }
        // Stays in sight however long the page is.
        div.bar {
            div.then { p #next {} p #after {} }
            nav aria-label="steps" {
                button #back type="button" { "back" }
                @if let Some((slot, _)) = &sheet.safe { p.safe { b { (slot) } " safe" } }
                button #on type="button" { "next" }
            }
        }
        details #list {
            summary { "set list" }
            @for (n, night) in sheet.nights.iter().enumerate() { (list(n, night)) }
        }
    }
}

fn list(number: usize, night: &Night) -> Markup {
    let mut at = 0;
    markup! {
        section.night data-night=(number) {
            h2 { (night.title) }
            ol {
                @for entry in &night.entries {
                    @let here = at;
                    @let () = at += match entry { Entry::Song(song) => song.parts.len().max(1), Entry::Pause(_) | Entry::Encore => 1 };
                    li {
                        @match entry {
                            Entry::Song(song) => {
                                button type="button" data-step=(here) { (song.number) " " (song.title) }
                                " " span.slots { @for part in &song.parts { (part.slot) " " } }
                            }
                            Entry::Encore => button type="button" data-step=(here) { "encore" },
                            Entry::Pause(says) => button type="button" data-step=(here) { "pause: " (says) },
                        }
                    }
                }
            }
        }
    }
}

fn shown(night: &Night) -> Shown<'_> {
    let mut steps = Vec::new();
    let mut songs = 0;
    for entry in &night.entries {
        match entry {
            Entry::Encore => steps.push(stop("encore")),
            Entry::Pause(says) => steps.push(stop(says)),
            Entry::Song(song) => {
                songs += 1;
                song_steps(song, &mut steps);
            }
        }
    }
    Shown { title: &night.title, songs, steps }
}

/// Where nothing is played.
fn stop(says: &str) -> Stop<'_> {
    Stop {
        number: 0,
        song: says,
        facts: String::new(),
        before: Vec::new(),
        part: "",
        slot: "",
        held: false,
        acts: Vec::new(),
    }
}

fn song_steps<'s>(song: &'s SongBlock, steps: &mut Vec<Stop<'s>>) {
    let facts: Vec<&str> = song.facts().collect();
    let facts = facts.join(" · ");
    let stop = |n: usize| Stop {
        number: song.number,
        song: &song.title,
        facts: facts.clone(),
        before: if n == 0 { song.changes.clone() } else { Vec::new() },
        part: song.parts.get(n).map_or("", |p| &p.label),
        slot: song.parts.get(n).map_or("", |p| &p.slot),
        held: song.parts.get(n).is_some_and(|p| p.held),
        acts: song.parts.get(n).map_or(Vec::new(), |p| p.acts.iter().map(act).collect()),
    };
    steps.extend((0..song.parts.len().max(1)).map(stop));
}

fn act(act: &Act) -> (&'static str, &str) {
    let who = match act.kind {
        ActKind::Hold | ActKind::Tap | ActKind::Foot => "foot",
        ActKind::Hand => "hand",
        ActKind::Cue => "cue",
        ActKind::Note => "note",
    };
    (who, &act.says)
}
