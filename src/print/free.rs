//! Why free cells hold what they hold: the moves that are counted, and what the choice saves.

use std::fmt::Write;

use crate::Compiled;
use crate::ids::ColumnId;

/// The objective, the saving, and the gap where the best is not proven.
pub fn why(compiled: &Compiled) -> String {
    let Some(filled) = compiled.filled().filter(|f| f.searched) else {
        let ruled = compiled.filled().map_or(0, |f| f.values.len());
        let but = if ruled == 0 { String::new() } else { format!(", but for {ruled} that a rule asks for") };
        return format!("free cells are as they rest{but}: the fewest moves were not looked for\n");
    };
    let mut out = "counted: contacts that move from part to part, over all sets\n".to_owned();
    let name = |cell: ColumnId| compiled.table.cells.list.get(cell).map_or("?", |c| c.name.as_str());
    for (cell, open, least) in &filled.contacts {
        let _ = writeln!(out, "  {:<16} {open} at rest, {least} as chosen", name(*cell));
    }
    let _ = writeln!(out, "all contacts: {} at rest, {} as chosen", filled.open, filled.least);
    let saved = filled.open as i64 - filled.least as i64;
    let _ = writeln!(out, "saved: {saved}, by {} cells", filled.values.len());
    let _ = match filled.gap() {
        0 => writeln!(out, "no choice moves fewer"),
        gap => writeln!(out, "a better choice may save up to {gap} more"),
    };
    out
}
