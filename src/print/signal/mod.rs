//! What the audio does, as rows: one a scene and guitar.

pub mod buffers;
pub mod csv;
pub mod doc;
pub mod json;
pub mod plot;
pub mod spice;

use serde::Serialize;

use crate::Compiled;
use crate::ids::{DeviceId, SceneId};
use crate::settle::{self, Answer};
use crate::study::signal::{Found, Signal, words};

/// One scene on one guitar. A figure that cannot be given is None, and `missing` says why.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Row {
    /// The scene.
    pub scene: String,
    /// The guitar.
    pub guitar: String,
    /// Level at 1 kHz, in dB re the pickup's voltage.
    pub level_1khz_db: Option<f64>,
    /// The top of the curve, in Hz; None where it only falls.
    pub peak_hz: Option<f64>,
    /// The level at the top, in dB re the pickup's voltage.
    pub peak_db: Option<f64>,
    /// Where the curve is 3.0103 dB below its low end, in Hz.
    pub minus_3db_hz: Option<f64>,
    /// The capacitance of the leads that hang on the guitar, in pF.
    pub guitar_load_pf: Option<f64>,
    /// The heaviest loading, as a loss in dB.
    pub worst_loading_db: Option<f64>,
    /// Where that is: `ember into bramble`.
    pub worst_loading: Option<String>,
    /// The level at 1 kHz less that of the chosen scene on the same guitar, in dB.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub difference_db: Option<f64>,
    /// Every output is off.
    pub silent: bool,
    /// All is known, and no level is left.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub nothing_left: bool,
    /// Devices whose legs were added as magnitudes, the most that they can come to: how they stand to each other is not known.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub as_magnitudes: Vec<String>,
    /// Values that nobody stated.
    pub missing: Vec<String>,
    /// The numbers of scene and guitar in the book.
    #[serde(skip)]
    pub of: (SceneId, usize),
}

/// What is wanted.
#[derive(Clone, Copy, Default)]
pub struct Wanted {
    /// One scene alone.
    pub scene: Option<SceneId>,
    /// One guitar alone.
    pub guitar: Option<usize>,
    /// The scene that others are held against.
    pub against: Option<SceneId>,
}

/// Rounded, and never `-0`.
fn rounded(value: f64, places: i32) -> f64 {
    let factor = 10f64.powi(places);
    (value * factor).round() / factor + 0.0
}

const DB: i32 = 6;
const HZ: i32 = 3;
const PF: i32 = 3;

/// All rows, scenes in the order of the slots, guitars by name.
pub fn rows(compiled: &Compiled, signal: &mut Signal<'_>, wanted: Wanted) -> Vec<Row> {
    let book = &compiled.book;
    let mut scenes: Vec<SceneId> = Vec::new();
    let mut seen = fixedbitset::FixedBitSet::with_capacity(book.show.scenes.len());
    for preset in &compiled.presets {
        if !seen.put(preset.scene.index()) && wanted.scene.is_none_or(|s| s == preset.scene) {
            // With switches pressed it sounds otherwise.
            scenes.extend([preset.scene].iter().chain(book.show.combinations(preset.scene)));
        }
    }
    let guitars: Vec<usize> = (0..book.board.guitars.len()).filter(|g| wanted.guitar.is_none_or(|w| w == *g)).collect();
    let mut rows = Vec::new();
    for scene in scenes {
        // Of a guitar that the scene does not hear there is nothing to say.
        let asked = settle::Row::of(book, &compiled.table, scene);
        for guitar in guitars.iter().filter(|g| asked.hears(**g) != Answer::No) {
            rows.push(row(compiled, signal, scene, *guitar, wanted.against));
        }
    }
    rows
}

fn row(compiled: &Compiled, signal: &mut Signal<'_>, scene: SceneId, guitar: usize, against: Option<SceneId>) -> Row {
    let book = &compiled.book;
    let hears = |scene: SceneId| settle::Row::of(book, &compiled.table, scene).hears(guitar);
    let sure = hears(scene) == Answer::Yes;
    let found = signal.found(scene, guitar).filter(|_| sure);
    let found = found.as_deref();
    let level = found.and_then(|f| f.level_1khz());
    let other =
        against.filter(|a| hears(*a) == Answer::Yes).and_then(|a| signal.found(a, guitar)).and_then(|f| f.level_1khz());
    let worst = found.and_then(|f| f.worst_loading());
    let stretch = worst.and_then(|(_, i)| found?.path.stretches.get(i));
    let missing = match found {
        Some(found) => found.path.missing.iter().map(|m| words::missing(&book.board, *m)).collect(),
        None if !sure => vec!["which guitar is heard".to_owned()],
        None => vec!["a chain that starts at the guitar".to_owned()],
    };
    let db = |value: f64| rounded(value, DB);
    let hz = |value: f64| rounded(value, HZ);
    let name = |device: &DeviceId| book.board.devices.get(*device).map_or(String::new(), |d| d.name.clone());
    Row {
        scene: book.show.scene(scene).map_or(String::new(), |s| s.name.to_string()),
        guitar: book.board.guitars.get(guitar).map_or(String::new(), |g| g.name.clone()),
        level_1khz_db: level.map(db),
        peak_hz: found.and_then(|f| f.peak_hz()).map(hz),
        peak_db: found.and_then(|f| f.peak_db()).map(db),
        minus_3db_hz: found.and_then(|f| f.minus_3db()).map(hz),
        guitar_load_pf: found.and_then(|f| f.guitar_load()).map(|farad| rounded(farad * 1e12, PF)),
        worst_loading_db: worst.map(|(loss, _)| db(loss)),
        worst_loading: stretch
            .map(|s| format!("{} into {}", words::from(&book.board, s.from), words::loads(&book.board, &s.to))),
        difference_db: level.zip(other).map(|(level, other)| db(level - other)),
        silent: found.is_some_and(|f| f.path.silent),
        nothing_left: found.is_some_and(Found::nothing_left),
        as_magnitudes: level.and(found).map_or(Vec::new(), |f| f.path.as_magnitudes.iter().map(name).collect()),
        missing,
        of: (scene, guitar),
    }
}

/// The frequencies that a curve is drawn over, in Hz, and its points.
pub const CURVE: (f64, f64, usize) = (20.0, 20_000.0, 200);
