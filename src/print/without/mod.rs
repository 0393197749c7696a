//! What if a part dies: the report, records, and what the sheets say of it.

pub mod brief;
pub mod json;
pub mod model;
mod page;
pub mod says;

pub use page::doc;

use self::model::{Entry, Own, Press, Row};
use crate::Compiled;
use crate::study::without::Without;

/// Printed where amplifiers or their leads are moved.
pub const CAUTION: &str = "Caution: standby and power off before an amplifier or a lead at one is moved. Never run a valve \
                           amplifier without its speaker. Leave its inside, and mains wiring, to licensed people under \
                           local code.";

/// A length in metres, as leads are listed.
pub(super) fn metres(metres: f64) -> String {
    if metres < 1.0 { format!("{} cm", (metres * 100.0).round()) } else { format!("{metres} m") }
}

/// `ridge 4.4 (14 presses, off 5.5)`.
fn press(press: &Press) -> String {
    let presses = match press.presses {
        Some(1) => "1 press, ".to_owned(),
        Some(n) => format!("{n} presses, "),
        None => String::new(),
    };
    format!("{} {} ({presses}off {})", press.slot, press.scene, press.off)
}

fn own(own: &Own) -> String {
    match (own.fails, &own.way) {
        (Some(why), _) => format!("{} does not hold: {why}", own.scene),
        (None, Some(way)) => press(way),
        (None, None) => own.scene.clone(),
    }
}

/// One record a preset that is touched, a part that touches none one too (RFC 4180).
pub fn csv(compiled: &Compiled, study: &Without<'_>) -> String {
    let heads = [
        "part",
        "what",
        "like",
        "first",
        "slot",
        "scene",
        "played",
        "silent",
        "off",
        "nearest",
        "nearest-slot",
        "presses",
        "nearest-off",
        "in-reach",
        "own",
    ];
    let way = |way: &Option<Press>, what: fn(&Press) -> String| way.as_ref().map_or(String::new(), what);
    let record = |entry: &Entry, row: Option<&Row>| {
        let none = &None;
        let (nearest, in_reach) = row.map_or((none, none), |r| (&r.nearest, &r.in_reach));
        let of = |what: fn(&Row) -> String| row.map_or(String::new(), what);
        [
            entry.part.clone(),
            entry.what.clone(),
            entry.like.clone().unwrap_or_default(),
            entry.first.clone(),
            of(|r| r.slot.clone().unwrap_or_default()),
            of(|r| r.scene.clone()),
            of(played),
            of(|r| if r.silent { "yes" } else { "no" }.to_owned()),
            of(|r| r.off.to_string()),
            way(nearest, |w| w.scene.clone()),
            way(nearest, |w| w.slot.clone()),
            way(nearest, |w| w.presses.map_or(String::new(), |n| n.to_string())),
            way(nearest, |w| w.off.to_string()),
            way(in_reach, |w| format!("{} {}", w.slot, w.scene)),
            of(|r| r.own.iter().map(own).collect::<Vec<_>>().join("; ")),
        ]
    };
    let entries = model::entries(compiled, study);
    let records = entries.iter().flat_map(|entry| match entry.presets.as_slice() {
        [] => vec![record(entry, None)],
        rows => rows.iter().map(|row| record(entry, Some(row))).collect(),
    });
    super::csv::records(&heads, records)
}

/// `Marl: solo; Thaw Ledger: chorus, solo`.
fn played(row: &Row) -> String {
    let mut songs: Vec<(&str, Vec<&str>)> = Vec::new();
    for played in &row.played {
        match songs.iter_mut().find(|(song, _)| *song == played.song) {
            Some((_, parts)) => parts.push(&played.part),
            None => songs.push((&played.song, vec![&played.part])),
        }
    }
    songs.iter().map(|(song, parts)| format!("{song}: {}", parts.join(", "))).collect::<Vec<_>>().join("; ")
}
