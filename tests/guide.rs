//! The guide: a page for every word of `grammar/scene.ebnf`, and every example in it does what it says.
//!
//! `TIPRING_BLESS=1` writes the tables of the examples anew.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use support::{compile, one};
use tipring::check::{RULES, Severity};
use tipring::guide::{self, pages, pages_of};
use tipring::print::csv;
use tipring::syntax::registry;

/// The words in quotes of the grammar, read without the parser: its comments and lexical productions are left out.
fn words_of_the_grammar() -> BTreeSet<String> {
    let text = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/grammar/scene.ebnf")).unwrap();
    let mut said = String::new();
    let mut rest = text.as_str();
    while let Some((before, comment)) = rest.split_once("/*") {
        said += before;
        rest = comment.split_once("*/").unwrap().1;
    }
    said += rest;
    let statements = said.split("\nend ").next().unwrap();
    let quoted = statements.split('\'').skip(1).step_by(2);
    quoted.filter(|word| word.starts_with(|c: char| c.is_ascii_alphabetic())).map(str::to_owned).collect()
}

#[test]
fn every_word_of_the_grammar_has_a_page_and_no_page_a_word_that_is_none() {
    let grammar = words_of_the_grammar();
    assert!(grammar.len() > 150, "{grammar:?}");
    let without: Vec<&String> = grammar.iter().filter(|word| pages_of(word).is_empty()).collect();
    assert!(without.is_empty(), "no page of src/guide tells of {without:?}");
    let last = pages().last().unwrap().chapter;
    let told = pages().iter().filter(|p| p.chapter != last).flat_map(|p| p.words.iter().copied().chain([p.word()]));
    // Of a device, `like` is a production of its own only in the grammar's head of a device.
    let dead: Vec<&str> = told.filter(|word| !grammar.contains(*word)).collect();
    assert!(dead.is_empty(), "no words of the language: {dead:?}");
    for word in guide::words() {
        assert!(!pages_of(word).is_empty(), "{word}");
    }
}

#[test]
fn every_statement_has_a_page_with_its_forms() {
    let mut forms = 0;
    for row in registry::rows() {
        let Some(stands) = row.stands else { continue };
        for word in stands.words {
            let place = stands.place.says();
            let page = pages_of(word).into_iter().find(|p| p.place().is_none_or(|said| said == place));
            let page = page.unwrap_or_else(|| panic!("no page tells of `{word}` in {place}"));
            for form in row.good.iter().filter(|form| form.is_ascii() && !form.contains(['\n', '#'])) {
                assert!(page.text.contains(form), "`{form}` is not on the page of `{word}` in {place}");
                forms += 1;
            }
        }
    }
    assert!(forms > 100, "{forms}");
}

#[test]
fn titles_are_told_once_and_codes_are_codes() {
    let mut titles = BTreeSet::new();
    for page in pages() {
        assert!(titles.insert(page.title), "`{}` has two pages", page.title);
        let prose = page.text.lines().next().unwrap();
        assert!(prose.split_whitespace().count() > 3 && !prose.starts_with('#'), "{}: {prose}", page.title);
        let wrong = page.text.split_once("# What goes wrong\n").map_or("", |(_, codes)| codes);
        for code in wrong.split('`').skip(1).step_by(2) {
            assert!(RULES.iter().any(|rule| rule.code == code), "{}: `{code}` is no code", page.title);
        }
    }
}

/// A fence of a chapter: its kind, its text, and where the text starts and ends in the file.
struct Fence {
    kind: String,
    text: String,
    at: (usize, usize),
}

fn fences(text: &str) -> Vec<Fence> {
    let mut out = Vec::new();
    let (mut at, mut open): (usize, Option<(String, usize)>) = (0, None);
    for line in text.split_inclusive('\n') {
        match (line.strip_prefix("```"), open.take()) {
            (Some(_), Some((kind, from))) => out.push(Fence { kind, text: text[from..at].to_owned(), at: (from, at) }),
            (Some(kind), None) => open = Some((kind.trim().to_owned(), at + line.len())),
            (None, was) => open = was,
        }
        at += line.len();
    }
    assert!(open.is_none(), "a fence is not closed");
    out
}

#[test]
fn every_example_compiles_without_a_word_against_it_and_to_the_table_that_is_printed() {
    let bless = std::env::var_os("TIPRING_BLESS").is_some();
    let folder = PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/src/guide"));
    let (mut books, mut tables, mut failures) = (0, 0, Vec::new());
    let mut files: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|f| f.unwrap().path()).collect();
    files.retain(|f| f.extension().is_some_and(|e| e == "md"));
    files.sort();
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let (mut now, mut written) = (String::new(), 0);
        let mut compiled = None;
        for fence in fences(&text).into_iter() {
            match fence.kind.as_str() {
                "scene" => {
                    let book = compile(&one("book.scene", &fence.text));
                    let told = book.diagnostics().iter().filter(|d| d.severity != Severity::Hint);
                    failures
                        .extend(told.map(|d| format!("{}: {}: {}\n{}", file.display(), d.code, d.message, fence.text)));
                    compiled = Some(book);
                    books += 1;
                }
                "csv" => {
                    let table = csv::table(compiled.as_ref().expect("a table stands behind its book"), false);
                    if bless {
                        now += &text[written..fence.at.0];
                        now += &table;
                        written = fence.at.1;
                    } else if table != fence.text {
                        failures.push(format!("{}: the table is\n{table}and not\n{}", file.display(), fence.text));
                    }
                    tables += 1;
                }
                "text" => {}
                other => panic!("{}: what is `{other}`?", file.display()),
            }
        }
        now += &text[written..];
        if bless && now != text {
            fs::write(&file, now).unwrap();
        }
    }
    assert!(failures.is_empty(), "{} failures\n{}", failures.len(), failures.join("\n"));
    assert!(books > 80 && tables > 4, "{books} books, {tables} tables");
}
