//! The first thing in which two answers differ, in words.

use super::abstract_book::{Answer, CODES};

pub(crate) fn difference(expected: &Answer, actual: &Answer) -> Option<String> {
    if expected.columns != actual.columns {
        return Some(format!("columns: expected {:?}, actual {:?}", expected.columns, actual.columns));
    }
    let names =
        |a: &Answer| -> Vec<(String, String)> { a.rows.iter().map(|r| (r.slot.clone(), r.scene.clone())).collect() };
    if names(expected) != names(actual) {
        return Some(format!("rows: expected {:?}, actual {:?}", names(expected), names(actual)));
    }
    for (want, have) in expected.rows.iter().zip(&actual.rows) {
        for (kind, want_cells, have_cells) in
            [("stored", &want.stored, &have.stored), ("free as dash", &want.dashed, &have.dashed)]
        {
            if want_cells.len() != have_cells.len() {
                return Some(format!("scene {}: {} cells, not {}", want.scene, have_cells.len(), want_cells.len()));
            }
            for ((column, w), h) in expected.columns.iter().zip(want_cells).zip(have_cells) {
                if w != h {
                    return Some(format!("scene {}, {column} ({kind}): expected `{w}`, actual `{h}`", want.scene));
                }
            }
        }
    }
    for code in CODES {
        let count = |a: &Answer| a.counts.get(code).copied().unwrap_or(0);
        if count(expected) != count(actual) {
            return Some(format!("{code}: expected {}, actual {}", count(expected), count(actual)));
        }
    }
    // Anything else that was complained of means that a sound book was misread.
    let other = actual.counts.keys().find(|code| !CODES.contains(&code.as_str()))?;
    Some(format!("unexpected complaint: {other}"))
}
