//! The same as JSON. null is what cannot be given.

use serde::Serialize;

use super::model::{self, Entry};
use super::{page, says};
use crate::Compiled;
use crate::study::without::Without;

#[derive(Serialize)]
struct Whole<'w> {
    format: &'static str,
    version: u32,
    board: Option<&'w str>,
    weights: Weights,
    reach: u32,
    /// Every candidate was looked at, so that what is called nearest is.
    proved: bool,
    parts: Vec<Entry>,
    spares: Vec<Spare>,
    patch: Option<Patch>,
}

#[derive(Serialize)]
struct Weights {
    amp: u32,
    pedal: u32,
    state: u32,
    level: u32,
}

#[derive(Serialize)]
struct Spare {
    spare: String,
    worth: f64,
    parts: usize,
}

#[derive(Serialize)]
struct Patch {
    line: String,
    leads: usize,
}

/// One object.
pub fn write(compiled: &Compiled, study: &Without<'_>) -> String {
    let weights = study.told.weights;
    let whole = Whole {
        format: "tipring-without",
        version: 1,
        board: compiled.book.board.title.as_ref().map(|b| b.value.as_str()),
        weights: Weights { amp: weights.amp, pedal: weights.pedal, state: weights.state, level: weights.level },
        reach: study.reach,
        proved: !study.stopped,
        parts: model::entries(compiled, study),
        spares: study
            .spares
            .iter()
            .map(|s| Spare { spare: page::spare(compiled, study, s), worth: model::weight(s.worth), parts: s.plays })
            .collect(),
        patch: study.patch.as_ref().map(|p| Patch { line: says::line(&compiled.book, p), leads: p.leads }),
    };
    serde_json::to_string_pretty(&whole).unwrap_or_default() + "\n"
}
