//! A comparison for reading on a terminal or in a mail.

use super::words;
use crate::compare::Comparison;
use crate::compare::heard::{PartTurn, SceneTurn, SongTurn};
use crate::compare::said::Area;
use crate::compare::sets::{Fate, SetTurn};

/// The whole comparison.
pub fn all(comparison: &Comparison<'_>) -> String {
    let mut out = String::new();
    if comparison.same() {
        return "no difference\n".to_owned();
    }
    heard(&mut out, comparison);
    reprogrammed(&mut out, comparison);
    for (area, title) in [(Area::Hardware, "Hardware"), (Area::Knobs, "Knobs"), (Area::Rules, "Rules")] {
        let lines: Vec<String> = comparison.of(area).map(words::stated).collect();
        section(&mut out, title, lines);
    }
    section(&mut out, "Sets", comparison.sets.iter().flat_map(set).collect());
    out
}

fn section(out: &mut String, title: &str, lines: Vec<String>) {
    if lines.is_empty() {
        return;
    }
    if !out.is_empty() {
        out.push('\n');
    }
    *out += title;
    out.push('\n');
    for line in lines {
        *out += "  ";
        *out += &line;
        out.push('\n');
    }
}

fn heard(out: &mut String, comparison: &Comparison<'_>) {
    section(out, "Heard: songs", comparison.songs.iter().flat_map(song).collect());
    section(out, "Heard: scenes", comparison.scenes.iter().map(scene).collect());
}

fn song(song: &SongTurn) -> Vec<String> {
    let mut out = vec![match (&song.was, &song.now) {
        (None, Some(now)) => format!("\"{now}\": new"),
        (Some(was), None) => format!("\"{was}\": gone"),
        (Some(was), Some(now)) if was != now => format!("\"{now}\" (was \"{was}\")"),
        _ => format!("\"{}\"", song.name()),
    }];
    let facts = song
        .facts
        .iter()
        .map(|(what, was, now)| format!("  {what}: {}", words::change(was.as_deref(), now.as_deref())));
    out.extend(facts);
    if song.reordered {
        out.push("  the parts stand in another order".to_owned());
    }
    out.extend(song.parts.iter().map(|part| format!("  {}", self::part(part))));
    out
}

fn part(part: &PartTurn) -> String {
    let scene = |s: &Option<String>| s.as_ref().map_or(String::new(), |s| format!(" ({s})"));
    match (&part.was, &part.now) {
        (None, Some(now)) => return format!("{now}: new{}", scene(&part.scenes.1)),
        (Some(was), None) => return format!("{was}: gone{}", scene(&part.scenes.0)),
        _ => {}
    }
    let mut says = words::turns(&part.turns);
    says.extend(part.notes.0.iter().map(|n| format!("no more {n}")));
    says.extend(part.notes.1.iter().map(|n| format!("now {n}")));
    let name = part.now.as_deref().unwrap_or("");
    let was = part.was.as_deref().filter(|w| *w != name).map_or(String::new(), |w| format!(" (was {w})"));
    format!("{name}{was}: {}", says.join(", "))
}

fn scene(scene: &SceneTurn) -> String {
    let head = match (&scene.was, &scene.now) {
        (None, Some(now)) => return format!("{now}: new"),
        (Some(was), None) => return format!("{was}: gone"),
        (Some(was), Some(now)) if was != now => format!("{now} (was {was})"),
        _ => scene.name().to_owned(),
    };
    let turns = words::turns(&scene.turns);
    if turns.is_empty() { format!("{head}: sounds as before") } else { format!("{head}: {}", turns.join(", ")) }
}

fn reprogrammed(out: &mut String, comparison: &Comparison<'_>) {
    let (old, new) = (comparison.old, comparison.new);
    let mut lines = Vec::new();
    for work in &comparison.work {
        let name = words::scene(new, work.now);
        let was = work.was.map(|s| words::scene(old, s));
        let head = match was {
            Some(was) if was == name => String::new(),
            Some(was) => format!(" (was {was})"),
            None => " (empty before)".to_owned(),
        };
        lines.push(format!("{} {name}{head}", words::slot(new, work.slot)));
        for edit in &work.edits {
            let (was, now) = words::values(old, new, edit);
            lines.push(format!("  {}: {}", words::wire(new, edit), words::change(was.as_deref(), Some(&now))));
        }
        if let Some(label) = &work.label {
            lines.push(format!("  display: {label}"));
        }
    }
    for (slot, scene) in &comparison.emptied {
        lines.push(format!(
            "{} holds {} still, and nothing needs it",
            words::slot(old, *slot),
            words::scene(old, *scene)
        ));
    }
    section(out, "Reprogrammed", lines);
}

fn set(set: &SetTurn) -> Vec<String> {
    let mut out = vec![match (&set.was, &set.now) {
        (None, Some(now)) => format!("\"{now}\": new"),
        (Some(was), None) => format!("\"{was}\": gone"),
        (Some(was), Some(now)) if was != now => format!("\"{now}\" (was \"{was}\")"),
        _ => format!("\"{}\"", set.name()),
    }];
    let behind = |after: &Option<String>| match after {
        Some(after) => format!("after \"{after}\""),
        None => "at the start".to_owned(),
    };
    for line in &set.lines {
        let what = if line.pause { format!("pause \"{}\"", line.title) } else { format!("\"{}\"", line.title) };
        out.push(match &line.fate {
            Fate::Came(after) => format!("  + {what} {}", behind(after)),
            Fate::Went => format!("  - {what}"),
            Fate::Moved(after) => format!("  ~ {what} now {}", behind(after)),
        });
    }
    out
}
