//! Spreadsheets' own files: sheets of cells that know numbers from texts.

use std::io::Cursor;

use calamine::{Data, Range, Reader, open_workbook_auto_from_rs};

use super::{Sheet, Unread, cell};

/// True for what begins as such files do: packed, or as older ones did.
pub(super) fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0])
}

pub(super) fn read(bytes: &[u8], asked: Option<&str>) -> Result<Sheet, Unread> {
    let unread = |why: String| Unread::Workbook { why };
    let mut book = open_workbook_auto_from_rs(Cursor::new(bytes.to_vec())).map_err(|e| unread(e.to_string()))?;
    let names = book.sheet_names();
    let wanted: Vec<String> = match asked {
        Some(asked) if names.iter().any(|name| name == asked) => vec![asked.to_owned()],
        Some(asked) => return Err(Unread::NoSuchSheet { asked: asked.to_owned(), has: names }),
        None => names,
    };
    let mut found = Vec::new();
    for name in wanted {
        let sheet = rows(&book.worksheet_range(&name).map_err(|e| unread(e.to_string()))?);
        if asked.is_some() || !sheet.lines.is_empty() {
            found.push((name, sheet));
        }
    }
    if found.len() > 1 {
        return Err(Unread::SeveralSheets { has: found.into_iter().map(|(name, _)| name).collect() });
    }
    Ok(found.pop().map(|(_, sheet)| sheet).unwrap_or_default())
}

fn rows(range: &Range<Data>) -> Sheet {
    let (row, column) = range.start().unwrap_or_default();
    let sheet = Sheet::of(range.rows().enumerate().map(|(at, cells)| {
        let before = std::iter::repeat_n(String::new(), column as usize);
        (row as usize + at + 1, before.chain(cells.iter().map(shown)).collect())
    }));
    Sheet { bare: true, ..sheet }
}

/// A cell as it is read; what a spreadsheet took for a date is shown as one, for its owner to see.
fn shown(data: &Data) -> String {
    match data {
        Data::Empty => String::new(),
        Data::String(text) => cell(text),
        Data::Float(number) => number.to_string(),
        Data::Int(number) => number.to_string(),
        Data::Bool(true) => "yes".to_owned(),
        Data::Bool(false) => "no".to_owned(),
        Data::DateTime(date) => {
            let (year, month, day, ..) = date.to_ymd_hms_milli();
            format!("the date {year:04}-{month:02}-{day:02}")
        }
        Data::DateTimeIso(text) | Data::DurationIso(text) => format!("the date {text}"),
        Data::Error(error) => format!("{error}"),
    }
}
