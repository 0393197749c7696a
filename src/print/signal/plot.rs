//! Curves drawn: SVG for pages, letters for a terminal.

use std::fmt::Write;

/// A curve and its name; Hz and dB.
pub struct Curve {
    /// What it is.
    pub name: String,
    /// Its points, in ascending frequency.
    pub points: Vec<(f64, f64)>,
}

/// The levels that fit all curves, in dB: multiples of 6.
fn span(curves: &[Curve]) -> (f64, f64) {
    let levels = || curves.iter().flat_map(|c| &c.points).map(|p| p.1).filter(|db| db.is_finite());
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
const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 320.0;
const LEFT: f64 = 44.0;
const BELOW: f64 = 36.0;
/// Dash patterns tell curves apart without colour.
const DASHES: [&str; 4] = ["", "6 3", "2 3", "8 3 2 3"];

fn across(hz: f64) -> f64 {
    LEFT + (hz / 20.0).log10() / 3.0 * WIDTH
}

/// An SVG picture of curves over 20 Hz to 20 kHz.
pub fn svg(title: &str, curves: &[Curve]) -> String {
    let (low, high) = span(curves);
    let up = |db: f64| 8.0 + (high - db.clamp(low, high)) / (high - low) * HEIGHT;
    let (w, h) = (LEFT + WIDTH + 12.0, HEIGHT + BELOW + 8.0);
    let mut out = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" role=\"img\">");
    let _ = write!(out, "<title>{}</title>", escaped(title));
    for (hz, label) in LINES {
        let x = across(hz);
        let (top, bottom) = (8.0, 8.0 + HEIGHT);
        let _ = write!(out, "<path d=\"M{x:.1} {top}V{bottom}\" stroke=\"#bbb\" stroke-width=\"0.5\"/>");
        let y = bottom + 14.0;
        let _ = write!(out, "<text x=\"{x:.1}\" y=\"{y}\" font-size=\"11\" text-anchor=\"middle\">{label}</text>");
    }
    let _ = write!(
        out,
        "<text x=\"{:.1}\" y=\"{}\" font-size=\"11\" text-anchor=\"middle\">Hz</text>",
        across(632.0),
        h - 4.0
    );
    let mut db = low;
    while db <= high {
        let y = up(db);
        let end = LEFT + WIDTH;
        let _ = write!(out, "<path d=\"M{LEFT} {y:.1}H{end}\" stroke=\"#bbb\" stroke-width=\"0.5\"/>");
        let (x, y) = (LEFT - 4.0, y + 4.0);
        let _ = write!(out, "<text x=\"{x}\" y=\"{y:.1}\" font-size=\"11\" text-anchor=\"end\">{db} dB</text>");
        db += 6.0;
    }
    for (curve, dash) in curves.iter().zip(DASHES.iter().cycle()) {
        let points = curve.points.iter().filter(|p| p.1.is_finite());
        let path: Vec<String> = points.map(|(hz, db)| format!("{:.1} {:.1}", across(*hz), up(*db))).collect();
        if path.is_empty() {
            continue;
        }
        let (name, path) = (escaped(&curve.name), path.join("L"));
        let _ = write!(
            out,
            "<path d=\"M{path}\" fill=\"none\" stroke=\"#000\" stroke-width=\"1.6\" stroke-dasharray=\"{dash}\"><title>{name}</title></path>"
        );
    }
    out + "</svg>"
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

const COLUMNS: usize = 61;
const STEP: f64 = 3.0;

/// A sketch of one curve in letters: a row for every 3 dB, 20 columns a decade.
pub fn sketch(curve: &Curve) -> String {
    let (low, high) = span(std::slice::from_ref(curve));
    let rows = ((high - low) / STEP).round() as usize + 1;
    let mut grid = vec![vec![' '; COLUMNS]; rows];
    let mut before: Option<usize> = None;
    for column in 0..COLUMNS {
        let hz = 20.0 * 10f64.powf(3.0 * column as f64 / (COLUMNS - 1) as f64);
        let nearest = curve.points.iter().min_by(|a, b| (a.0 / hz).ln().abs().total_cmp(&(b.0 / hz).ln().abs()));
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
