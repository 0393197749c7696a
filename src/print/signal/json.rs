//! The figures, and the curves, as JSON. null is a figure that cannot be given.

use serde::Serialize;

use super::{CURVE, Row, rounded};
use crate::Compiled;
use crate::study::signal::Signal;

#[derive(Serialize)]
struct Whole<'r> {
    format: &'static str,
    version: u32,
    board: Option<&'r str>,
    rows: Vec<Entry<'r>>,
}

#[derive(Serialize)]
struct Entry<'r> {
    #[serde(flatten)]
    row: &'r Row,
    /// Hz and dB, point by point.
    #[serde(skip_serializing_if = "Option::is_none")]
    curve: Option<Vec<(f64, f64)>>,
}

/// One object a scene and guitar, with its curve when `curves`.
pub fn figures(compiled: &Compiled, rows: &[Row], signal: &mut Signal<'_>, curves: bool) -> String {
    let (from, to, points) = CURVE;
    let rows = rows
        .iter()
        .map(|row| {
            let found = signal.found(row.of.0, row.of.1).filter(|_| curves);
            let curve = found.and_then(|f| f.curve(from, to, points));
            let round = |(hz, db): (f64, f64)| (rounded(hz, 3), rounded(db, 6));
            Entry { row, curve: curve.map(|c| c.into_iter().map(round).collect()) }
        })
        .collect();
    let board = compiled.book.board.title.as_ref().map(|b| b.value.as_str());
    let whole = Whole { format: "tipring-signal", version: 1, board, rows };
    serde_json::to_string_pretty(&whole).unwrap_or_default() + "\n"
}
