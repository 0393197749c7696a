//! All input: files, text held by an editor, standard input. Knows nothing of the language.

pub mod load;
pub mod shipped;

use std::fmt;

/// A stretch of one source file, in bytes. Cheap to copy; says nothing without its [`Files`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Span {
    /// Index of the file in [`Files`].
    pub file: u32,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A span from `start` to `end` in file number `file`.
    pub fn new(file: u32, start: u32, end: u32) -> Span {
        Span { file, start, end }
    }

    /// The smallest span that holds both; both must lie in one file.
    #[must_use]
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// One file of a book, as text.
#[derive(Clone, Debug)]
pub struct SourceFile {
    /// The path as the user would write it, with `/` between folders.
    pub path: String,
    /// The whole text.
    pub text: String,
    /// Set when the bytes were not UTF-8: offset of the first bad byte.
    pub not_utf8: Option<u32>,
    /// A description that ships with the tool: never a user's mistake.
    pub shipped: bool,
}

/// The files of one book, in reading order.
#[derive(Clone, Debug, Default)]
pub struct Files {
    files: Vec<SourceFile>,
}

/// A place as people count it: both start at 1; `column` counts characters.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    /// Line number from 1.
    pub line: u32,
    /// Character in the line from 1.
    pub column: u32,
}

impl Files {
    /// Adds a file and gives its number.
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> u32 {
        self.push(SourceFile { path: path.into(), text: text.into(), not_utf8: None, shipped: false })
    }

    /// Adds a file that is already described.
    pub fn push(&mut self, file: SourceFile) -> u32 {
        self.files.push(file);
        (self.files.len() - 1) as u32
    }

    /// The file with this number, if there is one.
    pub fn get(&self, file: u32) -> Option<&SourceFile> {
        self.files.get(file as usize)
    }

    /// All files with their numbers.
    pub fn iter(&self) -> impl Iterator<Item = (u32, &SourceFile)> {
        self.files.iter().enumerate().map(|(i, f)| (i as u32, f))
    }

    /// How many files there are.
    pub fn len(&self) -> usize {
        self.files.len()
    }

    /// True when no file was read.
    pub fn is_empty(&self) -> bool {
        self.files.is_empty()
    }

    /// The text that a span covers; empty when the span lies outside.
    pub fn text(&self, span: Span) -> &str {
        self.get(span.file).and_then(|f| f.text.get(span.start as usize..span.end as usize)).unwrap_or("")
    }

    /// The path of the file of a span.
    pub fn path(&self, span: Span) -> &str {
        self.get(span.file).map_or("", |f| f.path.as_str())
    }

    /// Line and column of a span's start, counted on demand.
    pub fn place(&self, span: Span) -> Place {
        let before = self.get(span.file).and_then(|f| f.text.get(..span.start as usize)).unwrap_or("");
        let line = before.bytes().filter(|b| *b == b'\n').count() as u32 + 1;
        let from = before.rfind('\n').map_or(0, |n| n + 1);
        let column = before.get(from..).unwrap_or("").chars().filter(|c| *c != '\u{feff}').count() as u32 + 1;
        Place { line, column }
    }

    /// `path:line`, for a chain of reasons.
    pub fn at(&self, span: Span) -> String {
        format!("{}:{}", self.path(span), self.place(span).line)
    }

    /// Bytes of all files of the user's own.
    pub fn size(&self) -> usize {
        self.files.iter().filter(|f| !f.shipped).map(|f| f.text.len()).sum()
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.line, self.column)
    }
}
