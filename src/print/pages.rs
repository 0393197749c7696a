//! All rules' pages in one, to read offline: Markdown (CommonMark 0.31) or HTML.

use maud::{Markup, html};

use super::doc;
use crate::check::{RULES, Rule, page};

/// One page with every rule, as Markdown.
pub fn markdown() -> String {
    let mut out = format!("# {TITLE}\n\n");
    for rule in RULES {
        out += &format!("- [`{0}`](#{0}): {1}\n", rule.code, first(rule));
    }
    for rule in RULES {
        out += &format!("\n## {}\n\n{}\n\n", rule.code, rule.severity.word());
        for block in blocks(&page::page(rule)) {
            out += &match block {
                Block::Title(title) => format!("### {title}\n\n"),
                Block::Text(text) => format!("{text}\n\n"),
                Block::Code(code) => format!("```scene\n{code}```\n\n"),
            };
        }
        out.truncate(out.trim_end().len());
        out.push('\n');
    }
    out
}

/// A rule's page as plain text, laid out as its source is.
pub fn text(rule: &Rule) -> String {
    let mut out = format!("{} ({})\n\n", rule.code, rule.severity.word());
    let (mut code, mut before) = (false, false);
    for line in page::page(rule).lines() {
        if line.starts_with("```") {
            // A blank line where one example ends and the next begins.
            if before && !code {
                out.push('\n');
            }
            (code, before) = (!code, code);
        } else if code {
            out += &format!("    {line}\n");
        } else {
            before = false;
            out += line.strip_prefix("# ").map_or(line, heading);
            out.push('\n');
        }
    }
    out
}

/// A heading as readers know it.
fn heading(title: &str) -> &str {
    match title {
        "Fires" => "Told, for example",
        "Silent" => "Not told",
        other => other,
    }
}

/// What a rule catches, in a sentence.
pub fn sentence(rule: &Rule) -> String {
    let first = first(rule);
    first.split_inclusive(". ").next().map_or(String::new(), |sentence| sentence.trim_end().to_owned())
}

/// One page with every rule, as HTML; it needs no other file.
pub fn html() -> String {
    let body = html! {
        h1 { (TITLE) }
        nav {
            ul { @for rule in RULES { li { a href={ "#" (rule.code) } { (rule.code) } " " (inline(&first(rule))) } } }
        }
        main { @for rule in RULES { (one(rule)) } }
    };
    doc::html::page(TITLE, STYLE, &html! {}, &body) + "\n"
}

const TITLE: &str = "What tipring may tell";
const STYLE: &str = "body{max-width:46rem;margin:auto;padding:1rem;font:1rem/1.5 sans-serif;color:#111;background:#fff}\
    code,pre{font-family:monospace;background:#eee}pre{padding:.5rem;overflow-x:auto}\
    section{border-top:1px solid #999;margin-top:2rem}@media print{section{break-inside:avoid}}";

fn one(rule: &Rule) -> Markup {
    html! {
        section id=(rule.code) {
            h2 { (rule.code) " (" (rule.severity.word()) ")" }
            @for block in blocks(&page::page(rule)) {
                @match block {
                    Block::Title(title) => h3 { (title) },
                    Block::Text(text) => p { (inline(&text)) },
                    Block::Code(code) => pre { code { (code) } },
                }
            }
        }
    }
}

/// A piece of a page.
enum Block {
    Title(String),
    Text(String),
    Code(String),
}

fn blocks(page: &str) -> Vec<Block> {
    let mut out = Vec::new();
    let mut code: Option<String> = None;
    let mut text = String::new();
    let flush = |text: &mut String, out: &mut Vec<Block>| {
        if !text.is_empty() {
            out.push(Block::Text(std::mem::take(text)));
        }
    };
    for line in page.lines() {
        if line.starts_with("```") {
            flush(&mut text, &mut out);
            match code.take() {
                Some(done) => out.push(Block::Code(done)),
                None => code = Some(String::new()),
            }
        } else if let Some(code) = &mut code {
            *code += line;
            code.push('\n');
        } else if let Some(title) = line.strip_prefix("# ") {
            flush(&mut text, &mut out);
            out.push(Block::Title(heading(title).to_owned()));
        } else if line.is_empty() {
            flush(&mut text, &mut out);
        } else {
            if !text.is_empty() {
                text.push(' ');
            }
            text += line;
        }
    }
    flush(&mut text, &mut out);
    out
}

/// What a rule catches, in its page's first paragraph.
fn first(rule: &Rule) -> String {
    blocks(&page::page(rule))
        .into_iter()
        .find_map(|b| if let Block::Text(t) = b { Some(t) } else { None })
        .unwrap_or_default()
}

/// Words in backticks are code.
fn inline(text: &str) -> Markup {
    html! {
        @for (i, piece) in text.split('`').enumerate() {
            @if i % 2 == 1 { code { (piece) } } @else { (piece) }
        }
    }
}
