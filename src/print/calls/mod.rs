//! What calls the presets from outside: for people, for programs, and as a file for the computer.

mod doc;
mod file;
mod model;

pub use doc::doc;
pub use file::file;
pub use model::{Pages, pages, sent};

use crate::Compiled;

/// One JSON object: [`Pages`].
pub fn json(pages: &Pages) -> String {
    // Only strings, numbers and lists of them: this does not fail.
    serde_json::to_string_pretty(pages).unwrap_or_default() + "\n"
}

/// One record a preset (RFC 4180): what calls it, and who calls it.
pub fn csv(pages: &Pages) -> String {
    let number = |n: Option<u16>| n.map_or(String::new(), |n| n.to_string());
    let records = pages.presets.iter().map(|preset| {
        let sent = preset.sent.as_ref();
        [
            preset.slot.clone(),
            preset.scene.clone(),
            pages.channel.to_string(),
            number(sent.and_then(|s| s.bank)),
            number(sent.map(|s| s.program)),
            sent.map_or(String::new(), |s| s.bytes.clone()),
            preset.called_by.join("; "),
        ]
    });
    super::csv::records(&["slot", "scene", "channel", "bank", "program", "bytes", "called_by"], records)
}

/// Why there is nothing to print, if nothing calls this switcher's presets.
pub fn lacks(compiled: &Compiled) -> Option<&'static str> {
    let switcher = compiled.book.board.switcher.as_ref();
    match switcher.map(|s| (s.answers, s.slots)) {
        Some((Some(_), Some(_))) => None,
        Some((Some(_), None)) => Some("the switcher has no slots: say `banks 1..8, switches 1..5` in `switcher`"),
        _ => Some(
            "nothing says what the switcher answers to: say `answers midi 1 programs from 1` in `switcher`, as the unit has it",
        ),
    }
}
