//! A table that somebody keeps, as rows of texts: CSV in the ways people save it, or a spreadsheet's own file.

mod separated;
mod workbook;

/// A row as it stands in the table.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// Its number, as a spreadsheet counts: from 1.
    pub number: usize,
    /// Its cells from the first column on, without blanks around them.
    pub cells: Vec<String>,
}

/// All rows that hold anything.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Sheet {
    pub lines: Vec<Line>,
    /// Numbers are numbers there, without the look they were given: 50 % stands as 0.5.
    pub bare: bool,
}

/// Why a file is no table that can be read.
#[derive(Clone, PartialEq, Debug)]
pub enum Unread {
    /// Bytes that are no UTF-8 and no UTF-16; the first line that holds one.
    Letters { line: usize },
    /// A quote that is opened in this line and never closed.
    Quote { line: usize },
    /// No workbook after all, or one that is locked; why.
    Workbook { why: String },
    /// The workbook has no such sheet; those it has.
    NoSuchSheet { asked: String, has: Vec<String> },
    /// A sheet was named, and the file has none.
    NoSheets,
    /// Several sheets hold something, and none was named.
    SeveralSheets { has: Vec<String> },
}

/// Reads the bytes of a table; `name` is the sheet that is meant, where a file has several.
pub fn read(bytes: &[u8], name: Option<&str>) -> Result<Sheet, Unread> {
    if workbook::is_one(bytes) {
        return workbook::read(bytes, name);
    }
    if name.is_some() {
        return Err(Unread::NoSheets);
    }
    separated::read(bytes)
}

impl Sheet {
    fn of(rows: impl IntoIterator<Item = (usize, Vec<String>)>) -> Sheet {
        let rows = rows.into_iter().map(|(number, cells)| Line { number, cells });
        let lines = rows.filter(|line| line.cells.iter().any(|cell| !cell.is_empty())).collect();
        Sheet { lines, bare: false }
    }
}

/// A cell's text: no blanks around it; no sign before it that keeps a spreadsheet from computing.
fn cell(text: &str) -> String {
    let text = text.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
    match text.strip_prefix('\'') {
        Some(kept) if kept.starts_with(['=', '+', '-', '@']) => kept.to_owned(),
        _ => text.to_owned(),
    }
}

/// The letters by which a spreadsheet calls a column: A to Z, then AA.
pub fn column(mut index: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + (index % 26) as u8));
        if index < 26 {
            break;
        }
        index = index / 26 - 1;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(bytes: &[u8]) -> Vec<(usize, Vec<String>)> {
        read(bytes, None).unwrap().lines.into_iter().map(|l| (l.number, l.cells)).collect()
    }

    #[test]
    fn however_it_was_saved_it_is_one_table() {
        let plain = "scene,loop 1\nbed,\"1,5\"\n";
        let semicolons = "scene;loop 1\r\nbed;1,5\r\n";
        let tabs = "scene\tloop 1\nbed\t1,5";
        let named = "sep=;\nscene;loop 1\nbed;1,5\n";
        let wide: Vec<u8> = "\u{feff}scene\tloop 1\r\nbed\t1,5\r\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = "\u{feff}scene;loop 1\nbed;1,5\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
        let marked = format!("\u{feff}{semicolons}");
        for bytes in [plain.as_bytes(), semicolons.as_bytes(), tabs.as_bytes(), &wide, &big, marked.as_bytes()] {
            assert_eq!(
                cells(bytes),
                [(1, vec!["scene".into(), "loop 1".into()]), (2, vec!["bed".into(), "1,5".into()])]
            );
        }
        assert_eq!(cells(named.as_bytes())[1], (3, vec!["bed".to_owned(), "1,5".to_owned()]));
    }

    #[test]
    fn rows_are_counted_as_a_spreadsheet_counts_them() {
        let rows = cells(b"\n,,\nscene,note\nbed,\"two\nlines\"\nlead,\n");
        let numbers: Vec<usize> = rows.iter().map(|(number, _)| *number).collect();
        assert_eq!(numbers, [3, 4, 5]);
    }

    #[test]
    fn what_is_no_table_says_why() {
        assert_eq!(read(b"scene\nb\xe9d\n", None), Err(Unread::Letters { line: 2 }));
        assert_eq!(read(b"scene\nbed\n\"lead\nwide\n", None), Err(Unread::Quote { line: 3 }));
        assert!(matches!(read(b"PK\x03\x04nothing", None), Err(Unread::Workbook { .. })));
    }

    #[test]
    fn columns_are_called_by_letters() {
        assert_eq!([0, 25, 26, 701, 702].map(column), ["A", "Z", "AA", "ZZ", "AAA"].map(str::to_owned));
    }
}
