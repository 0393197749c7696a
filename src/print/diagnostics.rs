//! Diagnostics for other programs: one JSON object a line.

use serde::Serialize;

use crate::check::Diagnostic;
use crate::source::{Files, Span};

#[derive(Serialize)]
struct Line<'d> {
    code: &'d str,
    severity: &'d str,
    message: &'d str,
    #[serde(flatten)]
    at: At<'d>,
    #[serde(skip_serializing_if = "Option::is_none")]
    label: Option<&'d str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    others: Vec<Other<'d>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<&'d str>,
    /// Changes that were tried on the whole book: each by itself is a way out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    offers: Vec<Mend<'d>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fix: Option<Mend<'d>>,
}

#[derive(Serialize)]
struct At<'d> {
    file: &'d str,
    line: u32,
    column: u32,
    /// Bytes from the start of the file.
    start: u32,
    end: u32,
}

#[derive(Serialize)]
struct Other<'d> {
    #[serde(flatten)]
    at: At<'d>,
    message: &'d str,
}

#[derive(Serialize)]
struct Mend<'d> {
    says: &'d str,
    edits: Vec<Change<'d>>,
}

#[derive(Serialize)]
struct Change<'d> {
    #[serde(flatten)]
    at: At<'d>,
    text: &'d str,
}

fn at(files: &Files, span: Span) -> At<'_> {
    let place = files.place(span);
    At { file: files.path(span), line: place.line, column: place.column, start: span.start, end: span.end }
}

/// Diagnostics, one object a line, in the order they come in.
pub fn json_lines(files: &Files, found: &[Diagnostic]) -> String {
    let line = |d: &Diagnostic| serde_json::to_string(&line(files, d)).unwrap_or_default() + "\n";
    super::json::escaped(found.iter().map(line).collect())
}

fn line<'d>(files: &'d Files, d: &'d Diagnostic) -> Line<'d> {
    let mend = |says: &'d str, edits: &'d [(Span, String)]| Mend {
        says,
        edits: edits.iter().map(|(span, text)| Change { at: at(files, *span), text }).collect(),
    };
    let offers = d.ways.iter().filter(|way| d.fix.as_ref().is_none_or(|fix| fix.edits != way.edits));
    Line {
        code: d.code,
        severity: d.severity.word(),
        message: &d.message,
        at: at(files, d.at),
        label: d.label.as_deref(),
        others: d.others.iter().map(|(span, says)| Other { at: at(files, *span), message: says }).collect(),
        help: d.help.as_deref(),
        offers: offers.map(|way| mend(&way.says, &way.edits)).collect(),
        fix: d.fix.as_ref().map(|fix| mend(&fix.says, &fix.edits)),
    }
}
