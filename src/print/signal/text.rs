//! The figures for a terminal, and a sketch of the curve of one scene.

use std::fmt::Write;

use super::plot::{Curve, sketch};
use super::{CURVE, Row};
use crate::print::wiring;
use crate::study;
use crate::study::signal::Signal;

/// Printed where amplifiers come into it.
pub const CAUTION: &str = "Caution: levels and leads outside the boxes are all that is meant here. Leave the inside of amplifiers\n\
     and supplies alone: valve amplifiers hold lethal voltage after they are unplugged.\n";

fn number(value: Option<f64>, places: usize) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:.places$}"))
}

/// A table, one line a scene and guitar, then what is missing; with a sketch of every curve when `curves`.
pub fn figures(rows: &[Row], signal: &mut Signal<'_>, curves: bool) -> String {
    let differ = rows.iter().any(|r| r.difference_db.is_some());
    let mut heads = vec!["scene", "guitar", "1 kHz dB", "peak Hz", "peak dB", "-3 dB Hz", "load pF", "loading dB"];
    heads.extend(differ.then_some("step dB"));
    let mut lines: Vec<Vec<String>> = vec![heads.into_iter().map(str::to_owned).collect()];
    for row in rows {
        let mut line = vec![
            row.scene.clone(),
            row.guitar.clone(),
            if row.silent { "silent".to_owned() } else { number(row.level_1khz_db, 2) },
            number(row.peak_hz, 0),
            number(row.peak_db, 2),
            number(row.minus_3db_hz, 0),
            number(row.guitar_load_pf, 0),
            number(row.worst_loading_db, 2),
        ];
        line.extend(differ.then(|| number(row.difference_db, 2)));
        line.extend(row.worst_loading.clone());
        lines.push(line);
    }
    let mut out = aligned(&lines, 2);
    out.push_str("\nlevels re the pickup's voltage; what the amplifier itself does is left out\n");
    out.push_str("-3 dB is 3.0103 dB below the low end; - is none, or a value that nobody stated\n");
    out.push_str(&missing(rows));
    let book = signal.book();
    if let Some(says) = wiring::assumed(book, &study::wiring::wiring(book)) {
        out.push_str(&says);
        out.push('\n');
    }
    if curves {
        for row in rows {
            let (from, to, points) = CURVE;
            let curve = signal.found(row.of.0, row.of.1).and_then(|f| f.curve(from, to, points));
            if let Some(points) = curve {
                let name = format!("{} on {}", row.scene, row.guitar);
                let _ = write!(out, "\n{name}\n");
                out.push_str(&sketch(&Curve { name, points }));
            }
        }
    }
    out.push('\n');
    out + CAUTION
}

/// Which values are missing, each once, and in how many rows.
fn missing(rows: &[Row]) -> String {
    let mut all: std::collections::BTreeMap<&str, usize> = std::collections::BTreeMap::new();
    for name in rows.iter().flat_map(|r| &r.missing) {
        *all.entry(name).or_default() += 1;
    }
    let lines = all
        .iter()
        .map(|(name, rows)| format!("missing: {name} ({rows} {})\n", if *rows == 1 { "row" } else { "rows" }));
    lines.collect()
}

/// Columns side by side: the first `left` to the left, numbers to the right.
pub fn aligned(lines: &[Vec<String>], left: usize) -> String {
    let wide = |s: &str| unicode_width::UnicodeWidthStr::width(s);
    let columns = lines.iter().map(Vec::len).max().unwrap_or(0);
    let widths: Vec<usize> =
        (0..columns).map(|c| lines.iter().filter_map(|l| l.get(c)).map(|s| wide(s)).max().unwrap_or(0)).collect();
    let mut out = String::new();
    for line in lines {
        let mut text = String::new();
        for (column, (field, width)) in line.iter().zip(&widths).enumerate() {
            let blank = " ".repeat(width - wide(field));
            // Words behind the numbers read from the left as well.
            let numeric = column >= left && lines.first().is_some_and(|l| column < l.len());
            let (before, after) = if numeric { (blank.as_str(), "") } else { ("", blank.as_str()) };
            let _ = write!(text, "{before}{field}{after}  ");
        }
        out.push_str(text.trim_end());
        out.push('\n');
    }
    out
}
