//! The truth table as CSV (RFC 4180).

use std::borrow::Cow;

use crate::Compiled;
use crate::written::{cell, switch};

/// One row a preset: slot, scene, then the cells in board order. `free` prints `-` for cells that do not matter.
pub fn table(compiled: &Compiled, free: bool) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail.
    rows(compiled, free, |row| drop(writer.write_record(row.iter().map(|field| plain(field).into_owned()))));
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// The rows of the truth table, the heads first.
pub(super) fn rows(compiled: &Compiled, free: bool, mut each: impl FnMut(&[String])) {
    let (book, table) = (&compiled.book, &compiled.table);
    let names = table.cells.list.iter().map(|c| c.name.clone());
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    let mut row: Vec<String> = ["slot", "scene"].into_iter().map(str::to_owned).chain(names).collect();
    let switches = switch::used(&compiled.book.board);
    row.extend(switches.iter().cloned());
    each(&row);
    for preset in &compiled.presets {
        let slot = preset.slot.zip(range).map_or(String::new(), |(slot, range)| range.show(slot));
        let name = book.show.scene(preset.scene).map_or("", |s| &s.name);
        let mut fields = row.iter_mut();
        fields.by_ref().zip([slot.as_str(), name]).for_each(|(field, text)| text.clone_into(field));
        for (field, (c, column)) in fields.by_ref().take(table.cells.len()).zip(table.cells.list.pairs()) {
            field.clear();
            if free && table.idle(preset.scene, c) {
                field.push('-');
            } else {
                cell::write(field, &book.board, column, table.stored(preset.scene, c));
            }
        }
        let does =
            if switches.is_empty() { Vec::new() } else { switch::plain(&compiled.book, &compiled.table, preset.scene) };
        for (field, name) in fields.zip(&switches) {
            let says = does.iter().find(|(of, _)| of == name).map_or(switch::NOTHING, |(_, says)| says);
            says.clone_into(field);
        }
        each(&row);
    }
}

/// A field that no spreadsheet computes: what would begin as a formula gets a `'` before it; numbers and a lone `-` are none.
pub(super) fn plain(field: &str) -> Cow<'_, str> {
    let formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if !formula || field == "-" || field.parse::<f64>().is_ok_and(f64::is_finite) {
        return Cow::Borrowed(field);
    }
    Cow::Owned(format!("'{field}"))
}

/// Any records under their names.
pub fn records<const N: usize>(names: &[&str; N], records: impl IntoIterator<Item = [String; N]>) -> String {
    lines(names, records)
}

/// The same where a column is there or not: each record as long as the names.
pub fn lines<'n, R: AsRef<[String]>>(names: impl AsRef<[&'n str]>, records: impl IntoIterator<Item = R>) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let _ = writer.write_record(names.as_ref());
    for record in records {
        let _ = writer.write_record(record.as_ref().iter().map(|field| plain(field).into_owned()));
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The signs that OWASP names under "CSV Injection".
    #[test]
    fn no_field_begins_as_a_formula() {
        for sign in ['=', '+', '-', '@', '\t', '\r'] {
            assert_eq!(plain(&format!("{sign}SUM(A1)")), format!("'{sign}SUM(A1)"));
        }
        for harmless in ["-", "-3.5", "+2", "bed", "", "1.10", "'quoted'"] {
            assert_eq!(plain(harmless), harmless);
        }
    }
}
