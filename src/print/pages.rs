//! The guide: a page for every word, then one for every code, to read offline: Markdown (CommonMark 0.31), HTML or paper.

use maud::{Markup, html};

use super::doc::{self, Doc, Look, Words, head, named};
use crate::check::{RULES, Rule, page};
use crate::guide::{self, Page};
use crate::print::page::Fonts;

const TITLE: &str = "The guide of tipring";
const CODES: &str = "What check may tell";
const STYLE: &str = "body{max-width:46rem;margin:auto;padding:1rem;font:1rem/1.5 sans-serif;color:#111;background:#fff}\
    code,pre{font-family:monospace;background:#eee}pre{padding:.5rem;overflow-x:auto}\
    section{border-top:1px solid #999;margin-top:2rem}@media print{section{break-inside:avoid}}";

/// One page of the whole: of a word, or of a code.
struct Entry {
    /// The chapter.
    chapter: &'static str,
    /// What a link to it is called.
    id: String,
    /// Its title, and a word beside it.
    title: String,
    beside: &'static str,
    blocks: Vec<Block>,
}

fn entries() -> Vec<Entry> {
    let word = |page: &Page| Entry {
        chapter: page.chapter,
        id: format!("word-{}", page.title.replace(", ", "-").replace(' ', "-")),
        title: page.title.to_owned(),
        beside: "",
        blocks: blocks(&page.text),
    };
    let code = |rule: &Rule| Entry {
        chapter: CODES,
        id: rule.code.to_owned(),
        title: rule.code.to_owned(),
        beside: rule.severity.word(),
        blocks: blocks(&page::page(rule)),
    };
    guide::pages().iter().map(word).chain(RULES.iter().map(code)).collect()
}

/// The chapters, each with its pages.
fn chapters(entries: &[Entry]) -> Vec<(&'static str, Vec<&Entry>)> {
    let mut out: Vec<(&'static str, Vec<&Entry>)> = Vec::new();
    for entry in entries {
        match out.last_mut().filter(|(chapter, _)| *chapter == entry.chapter) {
            Some((_, pages)) => pages.push(entry),
            None => out.push((entry.chapter, vec![entry])),
        }
    }
    out
}

/// The whole, as Markdown.
pub fn markdown() -> String {
    let entries = entries();
    let mut out = format!("# {TITLE}\n");
    for (chapter, pages) in chapters(&entries) {
        out += &format!("\n**{chapter}**\n\n");
        for entry in pages {
            out += &format!("- [`{}`](#{}): {}\n", entry.title, entry.id, linked(&entry.first()));
        }
    }
    for (chapter, pages) in chapters(&entries) {
        out += &format!("\n# {chapter}\n");
        for entry in pages {
            out += &format!("\n<a id=\"{}\"></a>\n\n## {}\n\n", entry.id, entry.title);
            if !entry.beside.is_empty() {
                out += &format!("{}\n\n", entry.beside);
            }
            for block in &entry.blocks {
                out += &match block {
                    Block::Title(title) => format!("### {title}\n\n"),
                    Block::Text(text) => format!("{}\n\n", linked(text)),
                    Block::Code(code) => format!("```scene\n{code}```\n\n"),
                };
            }
            out.truncate(out.trim_end().len());
            out.push('\n');
        }
    }
    out
}

/// Codes in backticks lead to their pages.
fn linked(text: &str) -> String {
    let piece = |(at, piece): (usize, &str)| match (at % 2 == 1, is_code(piece)) {
        (true, true) => format!("[`{piece}`](#{piece})"),
        (true, false) => format!("`{piece}`"),
        _ => piece.to_owned(),
    };
    text.split('`').enumerate().map(piece).collect()
}

fn is_code(word: &str) -> bool {
    RULES.iter().any(|rule| rule.code == word)
}

/// A rule's page as plain text, laid out as its source is.
pub fn text(rule: &Rule) -> String {
    format!("{} ({})\n\n{}", rule.code, rule.severity.word(), plain(&page::page(rule)))
}

/// The pages of a word as plain text.
pub fn word(pages: &[&Page]) -> String {
    let one = |page: &&Page| {
        let words =
            if page.words.is_empty() { String::new() } else { format!("Its words: {}.\n\n", page.words.join(", ")) };
        let codes =
            if page.text.contains("# What goes wrong") { "\n`tipring explain CODE` tells more of each.\n" } else { "" };
        format!("{}\n\n{words}{}{codes}", page.title, plain(&page.text))
    };
    pages.iter().map(one).collect::<Vec<_>>().join("\n")
}

fn plain(page: &str) -> String {
    let mut out = String::new();
    let (mut code, mut before) = (false, false);
    for line in page.lines() {
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

/// What a rule catches, or what a word says, in a sentence.
pub fn sentence(page: &str) -> String {
    one_sentence(first(&blocks(page)))
}

fn one_sentence(text: String) -> String {
    let end = text.find(". ").map_or(text.len(), |at| at + 1);
    text.get(..end).map_or(text.clone(), str::to_owned)
}

/// The whole, as HTML; it needs no other file.
pub fn html() -> String {
    let entries = entries();
    let body = html! {
        h1 { (TITLE) }
        nav {
            @for (chapter, pages) in chapters(&entries) {
                h2 { (chapter) }
                ul { @for entry in pages { li { a href={ "#" (entry.id) } { (entry.title) } " " (inline(&entry.first())) } } }
            }
        }
        main {
            @for (chapter, pages) in chapters(&entries) {
                h2 { (chapter) }
                @for entry in pages { (one(entry)) }
            }
        }
    };
    doc::html::page(TITLE, STYLE, &html! {}, &body) + "\n"
}

/// The whole, for paper; letters that the fonts lack are told by their number.
pub fn doc(fonts: &Fonts<'_>) -> Doc {
    let spelled = |text: &str| -> String {
        let lacks = |c: char| !c.is_ascii() && fonts.lacks(c.encode_utf8(&mut [0; 4])).is_some();
        text.chars().map(|c| if lacks(c) { c.escape_unicode().to_string() } else { c.to_string() }).collect()
    };
    let entries = entries();
    let mut out = Vec::new();
    for (chapter, pages) in chapters(&entries) {
        out.push(head(2, chapter));
        for entry in pages {
            let beside = if entry.beside.is_empty() { String::new() } else { format!(" ({})", entry.beside) };
            out.push(head(3, &format!("{}{beside}", entry.title)));
            out.extend(entry.blocks.iter().map(|block| match block {
                Block::Title(title) => doc::Block::Para(vec![(title.clone(), Look::Strong)]),
                Block::Text(text) => doc::Block::Para(words(&spelled(text))),
                Block::Code(code) => {
                    let lines: String = spelled(code).lines().map(|line| format!("    {line}\n")).collect();
                    doc::Block::Code { coloured: lines.clone(), lines }
                }
            }));
        }
    }
    Doc { title: TITLE.to_owned(), small: TITLE.to_owned(), blocks: out, ..Doc::default() }
}

/// Words of a book stand out from the words about them.
fn words(text: &str) -> Words {
    let strong = |(says, look)| (says, if look == Look::Name { Look::Strong } else { look });
    named(text).into_iter().map(strong).collect()
}

fn one(entry: &Entry) -> Markup {
    html! {
        section id=(entry.id) {
            h3 { (entry.title) @if !entry.beside.is_empty() { " (" (entry.beside) ")" } }
            @for block in &entry.blocks {
                @match block {
                    Block::Title(title) => h4 { (title) },
                    Block::Text(text) => p { (inline(text)) },
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

impl Entry {
    /// Its first sentence.
    fn first(&self) -> String {
        one_sentence(first(&self.blocks))
    }
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

fn first(blocks: &[Block]) -> String {
    let text = blocks.iter().find_map(|b| if let Block::Text(t) = b { Some(t) } else { None });
    text.cloned().unwrap_or_default()
}

/// Words in backticks are code; a code leads to its page.
fn inline(text: &str) -> Markup {
    html! {
        @for (i, piece) in text.split('`').enumerate() {
            @if i % 2 == 0 { (piece) }
            @else if is_code(piece) { a href={ "#" (piece) } { code { (piece) } } }
            @else { code { (piece) } }
        }
    }
}
