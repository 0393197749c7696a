//! All input: files, text held by an editor, standard input. Knows nothing of the language.

pub mod ends;
pub mod git;
pub mod load;
pub mod regular;
pub mod sheet;
pub mod shipped;

use std::fmt;
use std::path::PathBuf;
use std::sync::OnceLock;

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
    /// Where it lies: the path itself, which may have no text of its own.
    pub disk: PathBuf,
    /// The whole text.
    pub text: String,
    /// Set when the bytes were not UTF-8: offset of the first bad byte.
    pub not_utf8: Option<u32>,
    /// A description that ships with the tool: never a user's mistake.
    pub shipped: bool,
    /// It is none of the book's tonight: another file stands for it, and what it described is not there. It counts as shipped.
    pub replaced: bool,
}

/// The files of one book, in reading order.
#[derive(Clone, Debug, Default)]
pub struct Files {
    files: Vec<SourceFile>,
    /// Where the lines of each file start; found out when first asked.
    lines: Vec<OnceLock<Vec<u32>>>,
    /// How many characters stand before each stretch of so many bytes; found out when first asked.
    characters: Vec<OnceLock<Vec<u32>>>,
    missing: bool,
}

/// A place as people count it: both start at 1; `column` counts characters.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Place {
    /// Line number from 1.
    pub line: u32,
    /// Character in the line from 1.
    pub column: u32,
}

/// Bytes between two counts of characters.
const STRETCH: usize = 1024;

/// How many characters start between two places of a text, without byte order marks.
fn characters(text: &str, from: usize, to: usize) -> u32 {
    let bytes = text.as_bytes();
    let rest = bytes.get(from..to.min(bytes.len())).unwrap_or(&[]);
    let mark = |at: usize| bytes.get(at..).is_some_and(|b| b.starts_with(b"\xef\xbb\xbf"));
    rest.iter().zip(from..).filter(|(b, at)| **b & 0xC0 != 0x80 && (**b != 0xEF || !mark(*at))).count() as u32
}

impl Files {
    /// Adds a file and gives its number.
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> u32 {
        let path = path.into();
        let disk = PathBuf::from(&path);
        self.push(SourceFile { path, disk, text: text.into(), not_utf8: None, shipped: false, replaced: false })
    }

    /// Adds a file that is already described.
    pub fn push(&mut self, file: SourceFile) -> u32 {
        self.missing |= file.not_utf8.is_some();
        self.files.push(file);
        self.lines.push(OnceLock::new());
        self.characters.push(OnceLock::new());
        (self.files.len() - 1) as u32
    }

    /// The file with this number, if there is one.
    pub fn get(&self, file: u32) -> Option<&SourceFile> {
        self.files.get(file as usize)
    }

    /// Notes that a file of the book could not be read.
    pub fn missing(&mut self) {
        self.missing = true;
    }

    /// True when part of the book was not read: a file is missing, or its letters are damaged.
    pub fn partial(&self) -> bool {
        self.missing
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

    /// Where the lines of a file start, in bytes.
    fn line_starts(&self, file: u32) -> &[u32] {
        let Some((source, lines)) = self.get(file).zip(self.lines.get(file as usize)) else { return &[] };
        lines.get_or_init(|| {
            let bytes = source.text.as_bytes();
            let after = |from: usize| {
                let end = ends::next(bytes, from);
                Some(end + ends::length(bytes, end)).filter(|_| end < bytes.len())
            };
            std::iter::successors(Some(0), |from| after(*from)).map(|start| start as u32).collect()
        })
    }

    /// Characters before a place of a file, without byte order marks. A line may be as long as a file.
    fn characters_before(&self, file: u32, at: u32) -> u32 {
        let Some((source, counts)) = self.get(file).zip(self.characters.get(file as usize)) else { return 0 };
        let text = source.text.as_str();
        let counts = counts.get_or_init(|| {
            let mut sum = 0;
            let next = |from| {
                let before = sum;
                sum += characters(text, from, from + STRETCH);
                before
            };
            (0..=text.len()).step_by(STRETCH).map(next).collect()
        });
        let from = at as usize / STRETCH;
        counts.get(from).copied().unwrap_or(0) + characters(text, from * STRETCH, at as usize)
    }

    /// Line and column of a span's start.
    pub fn place(&self, span: Span) -> Place {
        let starts = self.line_starts(span.file);
        let line = starts.partition_point(|start| *start <= span.start);
        let from = line.checked_sub(1).and_then(|l| starts.get(l)).copied().unwrap_or(0);
        // Most lines are short, and counted as they are.
        let column = match self.get(span.file) {
            Some(file) if span.start.saturating_sub(from) as usize <= STRETCH => {
                characters(&file.text, from as usize, span.start as usize)
            }
            _ => {
                let before = |at| self.characters_before(span.file, at);
                before(span.start).saturating_sub(before(from))
            }
        };
        Place { line: line.max(1) as u32, column: column + 1 }
    }

    /// The whole lines that a span lies on, and `around` lines before and after.
    pub fn lines_around(&self, span: Span, around: usize) -> Span {
        let starts = self.line_starts(span.file);
        let length = self.get(span.file).map_or(0, |f| f.text.len() as u32);
        let first = starts.partition_point(|s| *s <= span.start).saturating_sub(1 + around);
        let last = starts.partition_point(|s| *s < span.end.max(span.start + 1)) + around;
        let start = starts.get(first).copied().unwrap_or(0);
        let end = starts.get(last).copied().unwrap_or(length);
        Span { start, end, ..span }
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
