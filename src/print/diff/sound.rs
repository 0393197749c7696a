//! What is heard differently, in words.

use super::words;
use crate::book::amount;
use crate::book::song::show_length;
use crate::compare::heard::{Change, NoteSaid, SongFact, SongFactKind, Standing, Tone, What};
use crate::settle::Value;

/// What is heard differently, one phrase a thing; a pedal that comes in brings its settings along.
///
/// `replaced` names pedals that sit where another one sat: the new one in and the old one out is one phrase.
pub(super) fn phrases(changes: &[Change], replaced: &[(String, String)]) -> Vec<String> {
    let is_in = |c: &Change, name: &str| matches!(&c.what, What::Pedal(n) if n == name) && c.was.is_none();
    let is_out = |c: &Change, name: &str| matches!(&c.what, What::Pedal(n) if n == name) && c.now.is_none();
    let swaps: Vec<&(String, String)> = replaced
        .iter()
        .filter(|(was, now)| changes.iter().any(|c| is_out(c, was)) && changes.iter().any(|c| is_in(c, now)))
        .collect();
    let came = |name: &str| {
        changes
            .iter()
            .any(|c| matches!(&c.what, What::Pedal(n) | What::Amp(n) | What::Tuner(n) if n == name) && c.was != c.now)
    };
    let settings = |name: &str| -> String {
        let of = changes.iter().filter_map(|c| match &c.what {
            What::Setting(device, control) if device == name => {
                Some(format!("{control} {}", standing(c.now.as_ref()?)))
            }
            _ => None,
        });
        let with: Vec<String> = of.collect();
        if with.is_empty() { String::new() } else { format!(" ({})", with.join(", ")) }
    };
    let mut out = Vec::new();
    for change in changes {
        match &change.what {
            What::Pedal(name) if swaps.iter().any(|(was, _)| was == name) && change.now.is_none() => {}
            What::Pedal(name) => match change.now.as_ref() {
                Some(now) => {
                    let instead = swaps.iter().find(|(_, came)| came == name);
                    let now = instead.map_or(standing(now), |(was, _)| format!("instead of `{was}`"));
                    let with = settings(name);
                    out.push(format!("`{name}` {now}{with}"));
                }
                None => out.push(format!("`{name}` out")),
            },
            What::Amp(name) => out.push(match change.now.as_ref() {
                Some(now) => format!("`{name}` {}", standing(now)),
                None => {
                    let with = settings(name);
                    format!("`{name}` sounds{with}")
                }
            }),
            What::Tuner(name) => out.push(match change.now.as_ref() {
                Some(Standing::Silent) => format!("`{name}` sees nothing"),
                Some(now) => format!("`{name}` {}", standing(now)),
                None => format!("`{name}` sees the guitar"),
            }),
            What::Setting(device, _) if came(device) => {}
            What::Setting(device, control) => {
                out.push(format!("`{device}` {control} {}", turned(change)));
            }
            What::Order => out.extend(order(change)),
            other => out.push(format!("{} {}", what(other), turned(change))),
        }
    }
    out
}

/// Devices that changed places: "`squash` now before `prism`".
fn order(change: &Change) -> Option<String> {
    let names = |standing: &Option<Standing>| match standing {
        Some(Standing::Order(names)) => Some(names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>()),
        _ => None,
    };
    let (was, now) = (names(&change.was)?, names(&change.now)?);
    Some(match now.as_slice() {
        [first, second] => format!("{first} now before {second}"),
        _ => format!("now in the order {} (was {})", now.join(", "), was.join(", ")),
    })
}

fn turned(change: &Change) -> String {
    let (was, now) = (change.was.as_ref().map(standing), change.now.as_ref().map(standing));
    words::change(was.as_deref(), now.as_deref())
}

/// What a difference is about: `sift`, `sift.depth`, `loop 3`.
pub(super) fn what(what: &What) -> String {
    match what {
        What::Pedal(name) | What::Amp(name) | What::Tuner(name) => name.clone(),
        What::Setting(device, control) => format!("{device}.{control}"),
        What::Loop(n) => format!("loop {n}"),
        What::Contact(contact) => contact.says(),
        What::Port(n) => format!("expression {n}"),
        What::Output(n) => format!("output {n}"),
        What::Guitar => "the guitar that is heard".to_owned(),
        What::Order => "order".to_owned(),
        What::Sound => "its sound".to_owned(),
    }
}

/// How something stands, in words that need its name beside them.
pub(super) fn standing(standing: &Standing) -> String {
    let word = match standing {
        Standing::In => "in",
        Standing::Silent => "silent",
        Standing::State(name) => return format!("`{name}`"),
        Standing::Moved(says) => return says.clone(),
        Standing::Level(level) => return amount::show(*level),
        Standing::Order(names) => return names.join(", "),
        Standing::Unlisted => "a pattern that is not listed",
        Standing::Known => "known",
        Standing::Cell(value) => match value {
            Value::Off => "off",
            Value::On => "on",
            Value::Pulse => "a pulse",
            Value::Stays => "left as it is",
            Value::Foot => "under the foot",
            Value::FromHeel => "under the foot from the heel",
            Value::FromToe => "under the foot from the toe",
            Value::Moved(_) => "moved by a treadle",
            Value::Program(program) => return format!("program {program}"),
            Value::Step(step) => return format!("step {step}"),
            Value::Input(input) => return format!("guitar input {input}"),
            Value::Order(_) => "another order of the loops",
            Value::State(_) | Value::Unknown => "not known",
        },
    };
    word.to_owned()
}

/// Level, treble and peak.
pub(super) fn tone(tone: Tone) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(level) = tone.level {
        let word = if level > 0.0 { "louder" } else { "quieter" };
        out.push(format!("{:.1} dB {word}", level.abs()));
    }
    if let Some((was, now)) = tone.treble {
        let word = if now > was { "brighter" } else { "duller" };
        out.push(format!("{word} (treble to {:.1} kHz, was {:.1} kHz)", now / 1000.0, was / 1000.0));
    }
    if let Some(peak) = tone.peak {
        let word = if peak > 0.0 { "higher" } else { "lower" };
        out.push(format!("the resonance {:.1} dB {word}", peak.abs()));
    }
    out
}

/// What hand or foot is asked for: `tap `drift` 1/8`.
pub(super) fn note(note: &NoteSaid) -> String {
    match note {
        NoteSaid::Tap { device, value } => format!("tap `{}` {value}", device.as_deref().unwrap_or("?")),
        NoteSaid::On(guitar) => format!("on {guitar}"),
        NoteSaid::Tuning(tuning) => format!("tuning \"{tuning}\""),
        NoteSaid::Capo(fret) => format!("capo {fret}"),
        NoteSaid::Hand(text) => format!("hand \"{text}\""),
        NoteSaid::Cue(text) => format!("cue \"{text}\""),
        NoteSaid::Times(times) => format!("times {times}"),
        NoteSaid::Lasts(seconds) => format!("lasts {}", show_length(u64::from(*seconds))),
        NoteSaid::Outside => "called from outside".to_owned(),
        NoteSaid::Reminder(text) => format!("note \"{text}\""),
    }
}

/// A song's tempo, guitar or tuning: which, as it was, as it is.
pub(super) fn fact(fact: &SongFact) -> (&'static str, Option<String>, Option<String>) {
    let (was, now) = (fact.was.clone(), fact.now.clone());
    let beats = |tempo: String| format!("{tempo} bpm");
    match fact.kind {
        SongFactKind::Tempo => ("tempo", was.map(beats), now.map(beats)),
        SongFactKind::Guitar => ("guitar", was, now),
        SongFactKind::Tuning => ("tuning", was, now),
        SongFactKind::Key => ("key", was, now),
        SongFactKind::Capo => ("capo", was, now),
        SongFactKind::CountIn => ("count in", was, now),
        SongFactKind::Length => ("length", was, now),
        SongFactKind::Note => ("note", was, now),
    }
}
