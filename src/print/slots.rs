//! Which scene stands in which slot.

use super::doc::{Block, Cell, Doc, Table};
use crate::Compiled;

/// Slot, scene, and whether the tool chose it.
fn fields(compiled: &Compiled) -> Vec<[String; 3]> {
    let range = compiled.book.board.switcher.as_ref().and_then(|s| s.slots);
    let presets = compiled.presets.iter().map(|preset| {
        let name = compiled.book.show.scene(preset.scene).map_or("", |s| &s.name);
        let slot = preset.slot.zip(range).map_or("-".to_owned(), |(slot, range)| range.show(slot));
        [slot, name.to_owned(), if preset.chosen { "auto" } else { "" }.to_owned()]
    });
    presets.collect()
}

/// A row a preset.
pub fn doc(compiled: &Compiled) -> Doc {
    let fields = fields(compiled);
    let lines = fields.iter().map(|[slot, name, chosen]| {
        format!("{slot:<6} {name}{}\n", if chosen.is_empty() { String::new() } else { format!("  ({chosen})") })
    });
    let lines = lines.collect();
    let rows = fields.into_iter().map(Cell::row).collect();
    let table = Block::Table(Table::new("slots", &["slot", "scene", "chosen"], 2, &[], rows));
    Doc::report(compiled, "slots", vec![Block::Told(lines, vec![table])])
}

/// One record a preset (RFC 4180).
pub fn csv(compiled: &Compiled) -> String {
    super::csv::records(&["slot", "scene", "chosen"], fields(compiled))
}
