//! The table as JSON: a line a row, so that it reads and compares well.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::ser::{Formatter, Serializer};

use super::model::{Shape, whole};
use crate::Compiled;

/// The whole table as one JSON object.
pub fn table(compiled: &Compiled, shape: Shape) -> String {
    let mut out = Vec::new();
    let mut writer = Serializer::with_formatter(&mut out, Lines { depth: 0 });
    // Writing to memory does not fail.
    let _ = whole(compiled, shape).serialize(&mut writer);
    out.push(b'\n');
    String::from_utf8(out).unwrap_or_default()
}

/// JSON without the controls that it may hold as they are: those beyond ASCII, and the delete sign.
pub(super) fn escaped(json: String) -> String {
    let control = |c: char| matches!(c, '\u{7f}'..='\u{9f}');
    // DEL, and the byte that every control beyond it begins with: nearly no text has either.
    if !json.bytes().any(|b| matches!(b, 0x7f | 0xc2)) {
        return json;
    }
    json.chars().fold(String::with_capacity(json.len() + 16), |mut out, c| {
        if control(c) {
            out += &format!("\\u{:04x}", c as u32);
        } else {
            out.push(c);
        }
        out
    })
}

/// Breaks the line before each key of the whole, and before each column and row.
struct Lines {
    depth: usize,
}

impl Lines {
    fn part<W: Write + ?Sized>(&self, to: &mut W, first: bool, broken: usize) -> io::Result<()> {
        if !first {
            to.write_all(b",")?;
        }
        if self.depth == broken { to.write_all(b"\n") } else { Ok(()) }
    }
}

impl Formatter for Lines {
    fn begin_object<W: Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.depth += 1;
        to.write_all(b"{")
    }

    fn end_object<W: Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.depth -= 1;
        to.write_all(b"}")
    }

    fn begin_array<W: Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.depth += 1;
        to.write_all(b"[")
    }

    fn end_array<W: Write + ?Sized>(&mut self, to: &mut W) -> io::Result<()> {
        self.depth -= 1;
        to.write_all(b"]")
    }

    fn begin_object_key<W: Write + ?Sized>(&mut self, to: &mut W, first: bool) -> io::Result<()> {
        self.part(to, first, 1)
    }

    fn begin_array_value<W: Write + ?Sized>(&mut self, to: &mut W, first: bool) -> io::Result<()> {
        self.part(to, first, 2)
    }
}
