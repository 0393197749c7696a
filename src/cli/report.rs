//! Diagnostics on a terminal, through miette.

use std::fmt;

use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, SourceCode, SourceSpan,
    SpanContents,
};

use rustc_hash::FxHashMap;

use super::output;
use super::safe::{Eye, safe};
use crate::Compiled;
use crate::check::{Diagnostic, Severity};
use crate::mend::offers;
use crate::source::{Files, Span};

/// Prints a book's errors to standard error, with what was tried as their ways out.
pub(super) fn tell_errors(book: &Compiled) {
    tell(&book.files, &offers::tried(book, book.mistakes()));
}

/// Prints diagnostics to standard error.
pub(super) fn tell<'d>(files: &Files, found: impl IntoIterator<Item = &'d Diagnostic>) {
    let text = render(files, output::colour(&std::io::stderr()), found);
    if !text.is_empty() {
        output::complain_coloured(text.trim_end());
    }
}

/// The same, as text; coloured only for who sees it.
pub(super) fn render<'d>(files: &Files, colour: bool, found: impl IntoIterator<Item = &'d Diagnostic>) -> String {
    let theme = if colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let handler = GraphicalReportHandler::new_themed(theme).with_width(100).with_links(false);
    let mut out = String::new();
    let mut eyes = Eyes { files, made: FxHashMap::default() };
    for diagnostic in found {
        eyes.look(diagnostic);
        let shown = Shown::new(&eyes, diagnostic);
        let _ = handler.render_report(&mut out, &shown);
        out.push('\n');
    }
    out
}

/// The files as they are seen, where that is not as they are written.
struct Eyes<'f> {
    files: &'f Files,
    made: FxHashMap<u32, Option<Eye>>,
}

impl Eyes<'_> {
    fn look(&mut self, diagnostic: &Diagnostic) {
        for file in diagnostic.others.iter().map(|(at, _)| at.file).chain([diagnostic.at.file]) {
            let text = || self.files.get(file).map_or("", |f| &f.text);
            self.made.entry(file).or_insert_with(|| Eye::of(text()));
        }
    }

    fn eye(&self, file: u32) -> Option<&Eye> {
        self.made.get(&file).and_then(Option::as_ref)
    }

    fn seen(&self, at: Span) -> Span {
        let Some(eye) = self.eye(at.file) else { return at };
        let (start, end) = (eye.seen(at.start), eye.seen(at.end));
        // A line that ends inside the place goes on behind it.
        let text = eye.text.get(start as usize..end as usize).unwrap_or("");
        Span { start, end: start + text.trim_end_matches('\n').len() as u32, ..at }
    }

    /// Whole lines, with the end of the last.
    fn lines(&self, at: Span) -> Span {
        let Some(eye) = self.eye(at.file) else { return at };
        Span { start: eye.seen(at.start), end: eye.seen(at.end), ..at }
    }

    fn written(&self, at: Span) -> Span {
        let Some(eye) = self.eye(at.file) else { return at };
        Span { start: eye.written(at.start), end: eye.written(at.end), ..at }
    }

    fn text(&self, seen: Span) -> &str {
        let text = self.eye(seen.file).map(|eye| eye.text.as_str());
        let text = text.or_else(|| self.files.get(seen.file).map(|f| f.text.as_str())).unwrap_or("");
        text.get(seen.start as usize..seen.end as usize).unwrap_or("")
    }
}

/// A diagnostic as miette wants it. Places in other files become reports of their own below it.
#[derive(Debug)]
struct Shown<'d> {
    diagnostic: &'d Diagnostic,
    excerpt: Excerpt<'d>,
    labels: Vec<LabeledSpan>,
    elsewhere: Vec<Elsewhere<'d>>,
}

#[derive(Debug)]
struct Elsewhere<'d> {
    says: String,
    excerpt: Excerpt<'d>,
    label: LabeledSpan,
}

/// The lines of one file, found by its line index rather than by reading it anew each time.
struct Excerpt<'d> {
    eyes: &'d Eyes<'d>,
    file: u32,
    /// Where the first label starts, and the place that heads the report: the diagnostic's own, wherever the first
    /// label stands.
    head: (usize, Span),
}

impl fmt::Debug for Excerpt<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "file {}", self.file)
    }
}

impl SourceCode for Excerpt<'_> {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let start = span.offset() as u32;
        let at = Span { file: self.file, start, end: start + span.len() as u32 };
        let files = self.eyes.files;
        let at = self.eyes.written(at);
        let whole = files.lines_around(at, before.max(after));
        // Asked without context, only the place is printed; with context, only the lines.
        let place = files.place(match before + after {
            0 if span.offset() == self.head.0 => self.head.1,
            0 => at,
            _ => whole,
        });
        let seen = self.eyes.lines(whole);
        let text = self.eyes.text(seen);
        Ok(Box::new(MietteSpanContents::new_named(
            safe(files.path(at)).into_owned(),
            text.as_bytes(),
            (seen.start as usize, text.len()).into(),
            place.line as usize - 1,
            place.column as usize - 1,
            text.lines().count(),
        )))
    }
}

fn label(eyes: &Eyes<'_>, at: Span, says: Option<&str>, primary: bool) -> LabeledSpan {
    let at = eyes.seen(at);
    let span = (at.start as usize, (at.end - at.start) as usize);
    let says = says.map(|says| safe(says).into_owned());
    if primary { LabeledSpan::new_primary_with_span(says, span) } else { LabeledSpan::new_with_span(says, span) }
}

impl<'d> Shown<'d> {
    fn new(eyes: &'d Eyes<'d>, diagnostic: &'d Diagnostic) -> Shown<'d> {
        let file = diagnostic.at.file;
        let mut labels = vec![label(eyes, diagnostic.at, diagnostic.label.as_deref(), true)];
        let mut elsewhere = Vec::new();
        for (at, says) in &diagnostic.others {
            if at.file == file {
                labels.push(label(eyes, *at, Some(says), false));
            } else {
                let label = label(eyes, *at, None, true);
                let excerpt = Excerpt { eyes, file: at.file, head: (label.offset(), *at) };
                elsewhere.push(Elsewhere { says: says.clone(), excerpt, label });
            }
        }
        let first = labels.iter().map(LabeledSpan::offset).min().unwrap_or_default();
        Shown { diagnostic, excerpt: Excerpt { eyes, file, head: (first, diagnostic.at) }, labels, elsewhere }
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&safe(&self.diagnostic.message))
    }
}

impl std::error::Error for Shown<'_> {}

impl miette::Diagnostic for Shown<'_> {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(format!("{} {}", self.diagnostic.severity.word(), self.diagnostic.code)))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.diagnostic.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
            Severity::Hint => miette::Severity::Advice,
        })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.diagnostic.help.as_ref().map(|h| Box::new(safe(h)) as Box<dyn fmt::Display>)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.excerpt)
    }

    fn related<'a>(&'a self) -> Option<Box<dyn Iterator<Item = &'a dyn miette::Diagnostic> + 'a>> {
        if self.elsewhere.is_empty() {
            return None;
        }
        Some(Box::new(self.elsewhere.iter().map(|e| e as &dyn miette::Diagnostic)))
    }
}

impl fmt::Display for Elsewhere<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&safe(&self.says))
    }
}

impl std::error::Error for Elsewhere<'_> {}

impl miette::Diagnostic for Elsewhere<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(miette::Severity::Advice)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(std::iter::once(self.label.clone())))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.excerpt)
    }
}
