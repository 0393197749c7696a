//! The part of the page that tells what in the computer's file is stale.

use serde_json::{Value, json};

use super::page::{Line, Section, Tone};
use super::words;
use crate::Compiled;
use crate::compare::Comparison;
use crate::compare::calls::{PartCalls, Sent, SongCalls};
use crate::fill::Places;
use crate::print::calls::sent;

/// Song by song, the parts at which something else is sent; parts of one change on one line.
pub(super) fn calls(comparison: &Comparison<'_>) -> Section {
    let calls = &comparison.calls;
    let title = "The computer's file".to_owned();
    if calls.gone {
        let says = "nothing is called from outside any more: take the programs out of it";
        return Section { title, lead: String::new(), lines: vec![Line::ticked(0, says)] };
    }
    if calls.fresh && !calls.is_empty() {
        let says = "there was none: `tipring calls` writes it";
        return Section { title, lead: String::new(), lines: vec![Line::ticked(0, says)] };
    }
    let count: usize = calls.songs.iter().map(|song| song.parts.len()).sum();
    let lead = format!(
        "The computer's file is stale: {} of {}. `tipring calls` writes it anew.",
        words::count(count, "part"),
        words::count(calls.songs.len(), "song")
    );
    let lines = calls.songs.iter().flat_map(|one| song(comparison, one)).collect();
    Section { title, lead, lines }
}

/// Where a file for the computer is no matter of a list: a unit knows nothing of it, and one night's list is for the unit.
pub(super) fn not_looked_at(old: &Compiled, new: &Compiled) -> Option<String> {
    let called = |compiled: &Compiled| {
        let places = Places::of(&compiled.book, &compiled.presets);
        compiled.book.show.songs.iter().any(|song| places.called(song).iter().any(Option::is_some))
    };
    (called(old) || called(new)).then(|| {
        "The computer's file was not looked at: `tipring diff OLD NEW` tells what in it is stale, `tipring calls` writes it \
         anew."
            .to_owned()
    })
}

fn song(comparison: &Comparison<'_>, song: &SongCalls) -> Vec<Line> {
    let mut out = vec![match song.fresh {
        true => Line::new(0, Tone::Came, format!("\"{}\" is called from outside now", song.song)),
        false => Line::new(0, Tone::Turned, format!("\"{}\"", song.song)),
    }];
    let mut told: Vec<(&PartCalls, Vec<&str>)> = Vec::new();
    for part in &song.parts {
        match told.iter_mut().find(|(first, _)| (first.was, first.now) == (part.was, part.now)) {
            Some((_, parts)) => parts.push(&part.part),
            None => told.push((part, vec![&part.part])),
        }
    }
    for (part, parts) in told {
        let (was, now) =
            (part.was.map(|sent| says(comparison.old, sent)), part.now.map(|sent| says(comparison.new, sent)));
        let channel = part.was.zip(part.now).is_some_and(|(was, now)| was.0 != now.0);
        let on =
            |sent: Option<Sent>| sent.filter(|_| channel).map_or(String::new(), |(n, _)| format!(" on channel {n}"));
        let (was, now) = (was.map(|says| says + &on(part.was)), now.map(|says| says + &on(part.now)));
        let change = match (was, now) {
            (Some(was), Some(now)) => format!("{was} → {now}"),
            (None, Some(now)) => format!("now {now}"),
            (Some(was), None) => format!("no longer {was}"),
            (None, None) => continue,
        };
        out.push(Line::ticked(1, format!("{}: {change}", parts.join(", "))));
    }
    out
}

/// `program 5`, `program 5 in bank 2`, as the book's unit shows it.
fn says(compiled: &Compiled, (_, call): Sent) -> String {
    let Some(answers) = compiled.book.board.switcher.as_ref().and_then(|s| s.answers) else { return String::new() };
    let sent = sent(answers, call);
    let bank = sent.bank.map_or(String::new(), |bank| format!(" in bank {bank}"));
    format!("program {}{bank}", sent.program)
}

/// The same for programs.
pub(super) fn json(comparison: &Comparison<'_>) -> Value {
    let calls = &comparison.calls;
    let one = |compiled: &Compiled, found: Option<Sent>| {
        let (channel, call) = found?;
        let sent = sent(compiled.book.board.switcher.as_ref()?.answers?, call);
        Some(json!({ "channel": channel, "bank": sent.bank, "program": sent.program, "bytes": sent.bytes }))
    };
    let parts = calls.songs.iter().flat_map(|song| song.parts.iter().map(move |part| (song, part)));
    let parts = parts.map(|(song, part)| {
        let (was, now) = (one(comparison.old, part.was), one(comparison.new, part.now));
        json!({ "song": song.song, "part": part.part, "was": was, "now": now })
    });
    json!({
        "stale": !calls.fresh && !calls.is_empty(), "none_before": calls.fresh, "none_now": calls.gone,
        "parts": parts.collect::<Vec<_>>(),
    })
}
