//! The truth table as CSV (RFC 4180).

use crate::Compiled;
use crate::print::cell;

/// One row a preset: slot, scene, then the cells in board order. `free` prints `-` for cells that do not matter.
pub fn table(compiled: &Compiled, free: bool) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let (book, table) = (&compiled.book, &compiled.table);
    let names = table.cells.list.iter().map(|c| c.name.as_str());
    let range = book.board.switcher.as_ref().and_then(|s| s.slots);
    // Writing to memory does not fail.
    let _ = writer.write_record(["slot", "scene"].into_iter().chain(names));
    let mut field = String::new();
    for preset in &compiled.presets {
        let slot = preset.slot.zip(range).map_or(String::new(), |(slot, range)| range.show(slot));
        let _ = writer.write_field(slot);
        let _ = writer.write_field(book.show.scene(preset.scene).map_or("", |s| &s.name));
        for (c, column) in table.cells.list.iter().enumerate() {
            field.clear();
            if free && table.idle(preset.scene, c as u16) {
                field.push('-');
            } else {
                cell::write(&mut field, &book.board, column, table.stored(preset.scene, c as u16));
            }
            let _ = writer.write_field(&field);
        }
        let _ = writer.write_record(None::<&[u8]>);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

/// Any records under their names.
pub fn records<const N: usize>(names: &[&str; N], records: impl IntoIterator<Item = [String; N]>) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let _ = writer.write_record(names);
    for record in records {
        let _ = writer.write_record(&record);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}
