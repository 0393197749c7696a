//! Diagnostics as SARIF 2.1.0 (OASIS standard, "Static Analysis Results Interchange Format Version 2.1.0").
//!
//! Fields and their places follow its sections 3.13 (log), 3.14 (run), 3.19 (toolComponent), 3.49
//! (reportingDescriptor), 3.27 (result), 3.28 (location), 3.29 (physicalLocation), 3.30 (region), 3.55 (fix).

use serde_json::{Value, json};

use crate::Compiled;
use crate::check::{Diagnostic, RULES, Severity, page};
use crate::source::{Files, Span};

const SCHEMA: &str = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// The whole log: one run, its rules, and a result for each diagnostic; allowed warnings are suppressed ones.
pub fn sarif(compiled: &Compiled, found: &[Diagnostic]) -> String {
    let files = &compiled.files;
    let allowed = compiled.allowed().iter().map(|a| {
        let mut result = result(files, &a.diagnostic);
        if let Some(result) = result.as_object_mut() {
            // Section 3.35: suppressed by something in the source, with its reason.
            let suppression =
                json!([{ "kind": "inSource", "justification": a.reason, "location": location(files, a.at) }]);
            result.insert("suppressions".to_owned(), suppression);
        }
        result
    });
    let results: Vec<Value> = found.iter().map(|d| result(files, d)).chain(allowed).collect();
    let rules: Vec<Value> = RULES.iter().map(descriptor).collect();
    let log = json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": { "name": "tipring", "version": env!("CARGO_PKG_VERSION"), "rules": rules } },
            // Columns are counted in characters (section 3.14.17).
            "columnKind": "unicodeCodePoints",
            "results": results,
        }],
    });
    super::json::escaped(serde_json::to_string_pretty(&log).unwrap_or_default() + "\n")
}

fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Hint => "note",
    }
}

fn descriptor(rule: &crate::check::Rule) -> Value {
    let page = page::page(rule);
    let first = page.split("\n\n").next().unwrap_or("").split('\n').collect::<Vec<_>>().join(" ");
    json!({
        "id": rule.code,
        "shortDescription": { "text": first.trim() },
        "help": { "text": page, "markdown": page },
        "defaultConfiguration": { "level": level(rule.severity) },
    })
}

fn result(files: &Files, d: &Diagnostic) -> Value {
    let message = match &d.help {
        Some(help) => format!("{}; {help}", d.message),
        None => d.message.clone(),
    };
    let mut out = json!({
        "ruleId": d.code,
        "ruleIndex": RULES.iter().position(|r| r.code == d.code),
        "level": level(d.severity),
        "message": { "text": message },
        "locations": [location(files, d.at)],
    });
    let Some(object) = out.as_object_mut() else { return out };
    if !d.others.is_empty() {
        let others = d.others.iter().map(|(span, says)| {
            let mut there = location(files, *span);
            if let Some(there) = there.as_object_mut() {
                there.insert("message".to_owned(), json!({ "text": says }));
            }
            there
        });
        object.insert("relatedLocations".to_owned(), others.collect());
    }
    // Section 3.27.30: each by itself is a way out.
    let ways = d.ways.iter().filter(|way| d.fix.as_ref().is_none_or(|fix| fix.edits != way.edits));
    let fixes = d.fix.iter().map(|fix| fixed(files, &fix.says, &fix.edits));
    let fixes: Vec<Value> = fixes.chain(ways.map(|way| fixed(files, &way.says, &way.edits))).collect();
    if !fixes.is_empty() {
        object.insert("fixes".to_owned(), fixes.into());
    }
    out
}

/// Section 3.55: one change a file, each with its replacements.
fn fixed(files: &Files, says: &str, edits: &[(Span, String)]) -> Value {
    let mut changes: Vec<(u32, Vec<Value>)> = Vec::new();
    for (span, text) in edits {
        let replacement = json!({ "deletedRegion": region(files, *span), "insertedContent": { "text": text } });
        match changes.iter_mut().find(|(file, _)| *file == span.file) {
            Some((_, list)) => list.push(replacement),
            None => changes.push((span.file, vec![replacement])),
        }
    }
    let changes = changes
        .into_iter()
        .map(|(file, replacements)| json!({ "artifactLocation": artifact(files, file), "replacements": replacements }));
    json!({ "description": { "text": says }, "artifactChanges": changes.collect::<Vec<Value>>() })
}

fn artifact(files: &Files, file: u32) -> Value {
    let path = files.get(file).map_or("", |f| f.path.as_str());
    json!({ "uri": uri(path) })
}

/// A path as a relative reference (RFC 3986): what is not unreserved is percent-encoded.
fn uri(path: &str) -> String {
    let mut out = String::new();
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => out.push(char::from(byte)),
            other => out += &format!("%{other:02X}"),
        }
    }
    out
}

fn location(files: &Files, span: Span) -> Value {
    json!({ "physicalLocation": { "artifactLocation": artifact(files, span.file), "region": region(files, span) } })
}

fn region(files: &Files, span: Span) -> Value {
    let from = files.place(span);
    let to = files.place(Span { start: span.end, ..span });
    json!({
        "startLine": from.line, "startColumn": from.column,
        "endLine": to.line, "endColumn": to.column,
    })
}
