//! Names, numbers, texts: the productions without blanks inside.

use super::{Row, row};
use crate::syntax::cursor;

/// Productions that have no parser function, each with the reason.
pub const WITHOUT_PARSER: &[(&str, &str)] = &[
    ("end", "the lexer makes it: the cursor sees one token"),
    ("letter", "the lexer reads names by character, in any script"),
    ("digit", "the lexer reads numbers by character"),
    ("unit", "a table of units, where a wrong spelling is told apart from a missing one"),
];

pub(super) const ROWS: &[Row] = &[
    row("name", cursor::name, &["a", "two-b3", "\u{e9}tude", "m"], &["", "3a", "-a", "a-", "a--b", "a b", "\"a\""]),
    row("number", cursor::number, &["0", "12", "1.10"], &["", "1.", ".5", "-1", "1e3", "1,5", "1 %"]),
    row("text", cursor::text, &["\"\"", "\"drop D; # {\""], &["", "a", "\"a", "\"a\nb\"", "\u{201c}a\u{201d}"]),
    row("slot", cursor::slot, &["1.10", "2B", "0"], &["", "B2", "2 B", "2BC", "1.1.1"]),
    row("clock", cursor::clock, &["1:30", "12:00"], &["", "1:", ":30", "130", "1 : 30"]),
    row(
        "quantity",
        cursor::quantity,
        &["5 V", "5V", "-1.5 dB", "20%", "100 pF/m", "1 k\u{3a9}", "1 M\u{2126}", "22 \u{b5}F", "22 \u{3bc}F"],
        &["", "5", "V", "5 mohm", "500k", "- 5 dB", "20,5 %", "100 pF / m", "5 V V", "5 nF/m"],
    ),
];
