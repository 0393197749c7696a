//! Curves drawn: for pages, and in letters for a terminal.

use std::fmt::Write;

use crate::print::doc::{Figure, Shape};
use crate::print::page::Ink;

/// The levels that fit a curve of Hz and dB, in dB: multiples of 6.
fn span(points: &[(f64, f64)]) -> (f64, f64) {
    let levels = || points.iter().map(|p| p.1).filter(|db| db.is_finite());
    let high = levels().fold(f64::NEG_INFINITY, f64::max);
    let low = levels().fold(f64::INFINITY, f64::min).max(high - 48.0);
    if high < low {
        return (-6.0, 6.0);
    }
    ((low / 6.0).floor() * 6.0, ((high / 6.0).floor() + 1.0) * 6.0)
}

/// Frequencies worth a line, in Hz.
const LINES: [(f64, &str); 10] = [
    (20.0, "20"),
    (50.0, "50"),
    (100.0, "100"),
    (200.0, "200"),
    (500.0, "500"),
    (1000.0, "1k"),
    (2000.0, "2k"),
    (5000.0, "5k"),
    (10_000.0, "10k"),
    (20_000.0, "20k"),
];
/// Of the drawing, in points: the field of the curve, and what stands above, left, right and below it.
const WIDTH: f64 = 420.0;
const HEIGHT: f64 = 200.0;
const ABOVE: f64 = 6.0;
const LEFT: f64 = 34.0;
const RIGHT: f64 = 12.0;
const BELOW: f64 = 26.0;
/// The height of letters, how far their base lies below the foot of the field, and below the middle of a line.
const LETTERS: f32 = 8.0;
const LABEL: f64 = 10.0;
const MIDDLE: f64 = 3.0;
/// Lines of the field and of the curve.
const THIN: f32 = 0.4;
const THICK: f32 = 1.3;
/// Every so many dB a line.
const RUNG: f64 = 6.0;

fn across(hz: f64) -> f64 {
    LEFT + (hz / 20.0).log10() / 3.0 * WIDTH
}

/// A curve over 20 Hz to 20 kHz.
pub fn figure(alt: &str, points: &[(f64, f64)]) -> Figure {
    let (low, high) = span(points);
    let up = |db: f64| ABOVE + (high - db.clamp(low, high)) / (high - low) * HEIGHT;
    let at = |x: f64, y: f64| (x as f32, y as f32);
    let rule = |from, to| Shape::Line { from, to, ink: Ink::Rule, width: THIN };
    let words =
        |(x, y): (f32, f32), text: String| Shape::Words { x, y, size: LETTERS, ink: Ink::Black, strong: false, text };
    let foot = ABOVE + HEIGHT;
    let mut shapes = Vec::new();
    for (hz, label) in LINES {
        let x = across(hz);
        shapes.push(rule(at(x, ABOVE), at(x, foot)));
        shapes.push(words(at(x, foot + LABEL), label.to_owned()));
    }
    shapes.push(words(at(LEFT + WIDTH / 2.0, foot + 2.0 * LABEL), "Hz".to_owned()));
    let rungs = ((high - low) / RUNG).round() as u32;
    for db in (0..=rungs).map(|n| low + f64::from(n) * RUNG) {
        shapes.push(rule(at(LEFT, up(db)), at(LEFT + WIDTH, up(db))));
        shapes.push(words(at(LEFT / 2.0, up(db) + MIDDLE), format!("{db} dB")));
    }
    let points = points.iter().filter(|p| p.1.is_finite()).map(|(hz, db)| at(across(*hz), up(*db)));
    shapes.push(Shape::Curve { points: points.collect(), ink: Ink::Black, width: THICK });
    let size = at(LEFT + WIDTH + RIGHT, foot + BELOW);
    Figure { alt: format!("the curve of {alt}"), size, shapes }
}

const COLUMNS: usize = 61;
const STEP: f64 = 3.0;

/// A sketch of one curve in letters: a row for every 3 dB, 20 columns a decade.
pub fn sketch(points: &[(f64, f64)]) -> String {
    let (low, high) = span(points);
    let rows = ((high - low) / STEP).round() as usize + 1;
    let mut grid = vec![vec![' '; COLUMNS]; rows];
    let mut before: Option<usize> = None;
    for column in 0..COLUMNS {
        let hz = 20.0 * 10f64.powf(3.0 * column as f64 / (COLUMNS - 1) as f64);
        let nearest = points.iter().min_by(|a, b| (a.0 / hz).ln().abs().total_cmp(&(b.0 / hz).ln().abs()));
        let Some(db) = nearest.map(|p| p.1).filter(|db| db.is_finite()) else { continue };
        let row = ((high - db.clamp(low, high)) / STEP).round() as usize;
        // A steep fall is drawn through all the rows that it passes.
        let from = before.map_or(row, |b| {
            if b < row {
                b + 1
            } else if b > row {
                b - 1
            } else {
                row
            }
        });
        for line in from.min(row)..=from.max(row) {
            if let Some(place) = grid.get_mut(line).and_then(|l| l.get_mut(column)) {
                *place = '*';
            }
        }
        before = Some(row);
    }
    let mut out = String::new();
    for (number, line) in grid.iter().enumerate() {
        let label = format!("{:.0}", high - STEP * number as f64);
        let text: String = line.iter().collect();
        let _ = writeln!(out, "{label:>5} dB |{}", text.trim_end());
    }
    let _ = writeln!(out, "         +{}", "-".repeat(COLUMNS));
    let _ = writeln!(out, "         20 Hz               200 Hz              2 kHz             20 kHz");
    out
}
