//! Texts with a sign between their columns: commas (RFC 4180), semicolons where the comma is in the numbers, tabs.

use super::{Sheet, Unread, cell};

pub(super) fn read(bytes: &[u8]) -> Result<Sheet, Unread> {
    let text = text(bytes)?;
    let (sign, skip) = named(&text).map_or_else(|| (guessed(&text), 0), |(sign, skip)| (sign, skip));
    let body = text.get(skip..).unwrap_or_default();
    let first = if skip > 0 { 2 } else { 1 };
    if let Some(line) = unclosed(body) {
        return Err(Unread::Quote { line: line + first - 1 });
    }
    Ok(Sheet::of(rows(body, sign).map(|(number, cells)| (number + first, cells))))
}

/// The text of a file that is UTF-8 or UTF-16: the mark at its start tells, or the empty bytes between letters.
fn text(bytes: &[u8]) -> Result<String, Unread> {
    let wide = match bytes {
        [0xff, 0xfe, rest @ ..] => Some((rest, u16::from_le_bytes as fn([u8; 2]) -> u16)),
        [0xfe, 0xff, rest @ ..] => Some((rest, u16::from_be_bytes as fn([u8; 2]) -> u16)),
        [a, 0, b, 0, ..] if *a != 0 && *b != 0 => Some((bytes, u16::from_le_bytes as fn([u8; 2]) -> u16)),
        [0, a, 0, b, ..] if *a != 0 && *b != 0 => Some((bytes, u16::from_be_bytes as fn([u8; 2]) -> u16)),
        _ => None,
    };
    if let Some((rest, of)) = wide {
        let pairs = rest.as_chunks::<2>().0.iter().map(|pair| of(*pair));
        return String::from_utf16(&pairs.collect::<Vec<_>>()).map_err(|_| Unread::Letters { line: 1 });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    String::from_utf8(bytes.to_vec()).map_err(|error| {
        let before = bytes.iter().take(error.utf8_error().valid_up_to());
        Unread::Letters { line: 1 + before.filter(|b| **b == b'\n').count() }
    })
}

/// A first line that says the sign, and where the next line begins.
fn named(text: &str) -> Option<(u8, usize)> {
    let line = text.lines().next()?;
    let sign = line.trim_end().trim_matches('"').strip_prefix("sep=")?;
    let sign = *sign.as_bytes().first().filter(|_| sign.len() == 1)?;
    Some((sign, text.find('\n').map_or(text.len(), |end| end + 1)))
}

/// The sign that parts the first row into the most cells.
fn guessed(text: &str) -> u8 {
    let parts = |sign: u8| {
        let mut rows = rows(text, sign).map(|(_, cells)| cells);
        rows.find(|cells| cells.iter().any(|c| !c.is_empty())).map_or(0, |cells| cells.len())
    };
    let mut best = b',';
    for sign in [b';', b'\t'] {
        if parts(sign) > parts(best) {
            best = sign;
        }
    }
    best
}

/// Rows by number, counted from 0; empty lines count too.
fn rows(text: &str, sign: u8) -> impl Iterator<Item = (usize, Vec<String>)> {
    let mut reader = csv::ReaderBuilder::new();
    let reader = reader.delimiter(sign).has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut empty = Empty { text: text.as_bytes(), at: 0, count: 0 };
    // Reading from memory does not fail.
    reader.into_records().filter_map(Result::ok).enumerate().map(move |(at, record)| {
        let start = record.position().map_or(0, |p| p.byte() as usize);
        (at + empty.before(start), record.iter().map(cell).collect())
    })
}

/// Counts the lines without a sign in them, which the reader passes over: a spreadsheet counts them as rows.
struct Empty<'t> {
    text: &'t [u8],
    at: usize,
    count: usize,
}

impl Empty<'_> {
    fn before(&mut self, start: usize) -> usize {
        // A record starts behind the end of the one before, at the empty lines between them.
        let mut at = start.max(self.at);
        // Of two signs that end a line the reader may have taken one.
        if at > 0 && self.text.get(at - 1..=at) == Some(b"\r\n") {
            at += 1;
        }
        while let Some(end) = self.text.get(at..).and_then(|rest| match rest {
            [b'\r', b'\n', ..] => Some(2),
            [b'\n' | b'\r', ..] => Some(1),
            _ => None,
        }) {
            at += end;
            self.count += 1;
        }
        self.at = at;
        self.count
    }
}

/// The line, from 1, where a quote is opened that is never closed.
fn unclosed(text: &str) -> Option<usize> {
    let mut open = None;
    let mut line = 1;
    for byte in text.bytes() {
        match byte {
            b'"' => open = if open.is_none() { Some(line) } else { None },
            b'\n' => line += 1,
            _ => {}
        }
    }
    open
}
