//! The figures, and the curves, as CSV (RFC 4180). An empty field is a figure that cannot be given.

use super::{CURVE, Row, rounded};
use crate::study::signal::Signal;

const NAMES: [&str; 12] = [
    "scene",
    "guitar",
    "level_1khz_db",
    "peak_hz",
    "peak_db",
    "minus_3db_hz",
    "guitar_load_pf",
    "worst_loading_db",
    "worst_loading",
    "difference_db",
    "silent",
    "missing",
];

fn number(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| v.to_string())
}

/// One row a scene and guitar; with the devices whose legs were added as magnitudes, where there are any.
pub fn figures(rows: &[Row]) -> String {
    let added = rows.iter().any(|row| !row.as_magnitudes.is_empty());
    let records = rows.iter().map(|row| {
        let mut record = vec![
            row.scene.clone(),
            row.guitar.clone(),
            number(row.level_1khz_db),
            number(row.peak_hz),
            number(row.peak_db),
            number(row.minus_3db_hz),
            number(row.guitar_load_pf),
            number(row.worst_loading_db),
            row.worst_loading.clone().unwrap_or_default(),
            number(row.difference_db),
            row.silent.to_string(),
            row.missing.join("; "),
        ];
        record.extend(added.then(|| row.as_magnitudes.join("; ")));
        record
    });
    let names: Vec<&str> = NAMES.into_iter().chain(added.then_some("added_as_magnitudes")).collect();
    crate::print::csv::lines(names, records)
}

/// One row a scene, guitar and frequency.
pub fn curves(rows: &[Row], signal: &mut Signal<'_>) -> String {
    let (from, to, points) = CURVE;
    let mut records = Vec::new();
    for row in rows {
        let curve = signal.found(row.of.0, row.of.1).and_then(|f| f.curve(from, to, points));
        for (hz, db) in curve.unwrap_or_default() {
            let (hz, db) = (rounded(hz, 3).to_string(), rounded(db, 6).to_string());
            records.push([row.scene.clone(), row.guitar.clone(), hz, db]);
        }
    }
    crate::print::csv::records(&["scene", "guitar", "hz", "level_db"], records)
}
