//! The page as one self-contained HTML file, fit for printing.

use maud::{DOCTYPE, Markup, html};

use super::page::{Line, Page, Tone};

const STYLE: &str = "body{font:16px/1.45 sans-serif;max-width:48em;margin:2em auto;padding:0 1em;color:#111;background:#fff}\
h1{font-size:1.3em}h2{font-size:1.1em;border-bottom:1px solid #888;margin-top:1.6em}\
ul{list-style:none;padding-left:0;margin:.4em 0}li{margin:.15em 0;break-inside:avoid}\
.d1{margin-left:2em}.mark{display:inline-block;width:1.3em;font-weight:bold}\
.came .mark{color:#060}.went .mark{color:#900}.turned .mark{color:#640}\
code{font-family:monospace;font-size:.95em;background:#f0f0f0;padding:0 .15em}pre{white-space:pre-wrap}\
@media print{body{margin:0;max-width:none}code{background:none}}";

/// The whole page; `source` is the text diff of the files, where wanted.
pub fn all(page: &Page, source: Option<&str>) -> String {
    let out = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (page.title) }
                style { (maud::PreEscaped(STYLE)) }
            }
            body {
                h1 { (page.title) }
                @for line in &page.lead { p { (names(line)) } }
                @for section in &page.sections {
                    h2 { (section.title) }
                    @if !section.lead.is_empty() { p { (names(&section.lead)) } }
                    ul { @for line in &section.lines { (one(line)) } }
                }
                @if let Some(source) = source.filter(|s| !s.is_empty()) {
                    h2 { "Source" }
                    pre { (source) }
                }
            }
        }
    };
    out.into_string() + "\n"
}

fn one(line: &Line) -> Markup {
    let (tone, mark) = match (line.ticked, line.tone) {
        (true, _) => ("tick", "☐"),
        (_, Tone::Came) => ("came", "+"),
        (_, Tone::Went) => ("went", "−"),
        (_, Tone::Turned) => ("turned", "~"),
        (_, Tone::Plain) => ("plain", ""),
    };
    let depth = if line.depth > 0 { " d1" } else { "" };
    html! { li class=(format!("{tone}{depth}")) { span class="mark" { (mark) } (names(&line.text)) } }
}

/// Names in backticks as code.
fn names(text: &str) -> Markup {
    html! { @for (at, piece) in text.split('`').enumerate() { @if at % 2 == 1 { code { (piece) } } @else { (piece) } } }
}
