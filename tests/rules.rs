//! What holds the rules together: the list, the files, the pages, and the books on the pages.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

#[path = "rules/needs.rs"]
mod needs;

use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use support::{Book, check_fixes, codes, compile, unescaped};
use tipring::check::{RULES, page};
use tipring::mend::offers;

/// The module of a code: `unit-case` is `unit_case.rs`.
fn file_of(code: &str) -> String {
    format!("src/check/rules/{}.rs", code.replace('-', "_"))
}

/// A book of a page. `#--- PATH` starts another file of it; `\xE9` stands for one byte that is no UTF-8, and
/// `\u{200B}` for a character that cannot be seen; `\{255 s%}` for 255 lines, the sign being their number.
fn book(text: &str) -> Book {
    let mut book: Book = vec![("book/book.scene".to_owned(), Vec::new())];
    for line in text.lines() {
        if let Some(path) = line.strip_prefix("#--- ") {
            book.push((format!("book/{path}"), Vec::new()));
            continue;
        }
        let bytes = &mut book.last_mut().unwrap().1;
        if let Some((count, each)) = line.strip_prefix("\\{").and_then(|l| l.strip_suffix('}')?.split_once(' ')) {
            for n in 1..=count.parse::<u32>().unwrap() {
                bytes.extend(format!("{}\n", each.replace('%', &n.to_string())).bytes());
            }
            continue;
        }
        let line = unescaped(line);
        for (i, piece) in line.split("\\xE9").enumerate() {
            bytes.extend((i > 0).then_some(0xE9));
            bytes.extend(piece.bytes());
        }
        bytes.push(b'\n');
    }
    book
}

#[test]
fn the_list_names_every_rule_file() {
    let codes: Vec<&str> = RULES.iter().map(|r| r.code).collect();
    assert!(codes.is_sorted_by(|a, b| a < b), "the list is sorted, and each code stands once: {codes:?}");
    let listed: BTreeSet<String> = codes.iter().map(|c| file_of(c)).collect();
    let files: BTreeSet<String> = fs::read_dir("src/check/rules")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file())
        .filter(|path| fs::read_to_string(path).unwrap().contains("const SEVERITY: Severity"))
        .map(|path| path.to_string_lossy().into_owned())
        .collect();
    assert_eq!(files, listed);
    for rule in RULES {
        assert_eq!(rule.source, fs::read_to_string(file_of(rule.code)).unwrap(), "{}", rule.code);
    }
}

#[test]
fn every_page_is_whole() {
    let mut failures = Vec::new();
    for rule in RULES {
        let page = page::page(rule);
        let mut fenced = false;
        let outside = |line: &&str| {
            fenced ^= line.starts_with("```");
            !fenced
        };
        let headings: Vec<&str> = page.lines().filter(outside).filter(|l| l.starts_with("# ")).collect();
        if headings != ["# On stage", "# Way out", "# Fires", "# Silent"] {
            failures.push(format!("{}: headings {headings:?}", rule.code));
            continue;
        }
        // Before the first heading and under the first two stands prose.
        for (i, part) in format!("\n{page}").split("\n# ").take(3).enumerate() {
            let prose = part.lines().skip(usize::from(i > 0)).any(|l| l.split_whitespace().count() > 3);
            if !prose {
                failures.push(format!("{}: nothing said in part {i}", rule.code));
            }
        }
        let (fires, silent) = (page::books(&page, "Fires").len(), page::books(&page, "Silent").len());
        if fires < 2 || silent < 1 {
            failures.push(format!("{}: {fires} books fire, {silent} are silent", rule.code));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

#[test]
fn the_books_of_the_pages_do_what_their_heading_says() {
    let mut failures = Vec::new();
    for rule in RULES {
        let page = page::page(rule);
        for (i, text) in page::books(&page, "Fires").iter().enumerate() {
            let at = format!("{} fires {}", rule.code, i + 1);
            let book = book(text);
            let compiled = compile(&book);
            let fired = compiled.diagnostics().iter().filter(|d| d.code == rule.code).count();
            let others: Vec<&str> = codes(&compiled).into_iter().filter(|c| *c != rule.code).collect();
            if fired == 0 || !others.is_empty() {
                failures.push(format!("{at}: {fired} times, beside {others:?}"));
            }
            check_fixes(&book, &compiled, &at, true, &mut failures);
        }
        for (i, text) in page::books(&page, "Silent").iter().enumerate() {
            let found = codes(&compile(&book(text)));
            if !found.is_empty() {
                failures.push(format!("{} silent {}: {found:?}", rule.code, i + 1));
            }
        }
    }
    assert!(failures.is_empty(), "{} failures\n{}", failures.len(), failures.join("\n"));
}

/// A page's book on the disk, and what `check` prints of it.
fn printed(text: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    for (path, bytes) in book(text) {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    let mut command = Command::new(env!("CARGO_BIN_EXE_tipring"));
    let out = command.current_dir(folder.path()).env("NO_COLOR", "1").args(["check", "book/book.scene"]).output();
    let text = String::from_utf8(out.unwrap().stdout).unwrap();
    text.lines().map(|line| line.trim_end().to_owned() + "\n").collect()
}

/// Every code as a reader sees it: its firing books, each with the whole report. Made anew with
/// `INSTA_UPDATE=always cargo test --test rules`, and then read.
#[test]
fn every_code_reads_as_it_did() {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("messages");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| {
        for rule in RULES {
            let books = page::books(&page::page(rule), "Fires");
            let reports: Vec<String> = books.iter().map(|text| printed(text)).collect();
            let head = format!("{} {}\n", rule.severity.word(), rule.code);
            for report in &reports {
                assert!(report.contains(&head), "{}: {report}", rule.code);
            }
            insta::assert_snapshot!(rule.code, reports.join("\n----\n\n"));
        }
    });
}

#[test]
fn messages_keep_to_the_wording() {
    let mut failures = Vec::new();
    for rule in RULES {
        let page = page::page(rule);
        let fires = page::books(&page, "Fires");
        for text in fires.iter().chain(&page::books(&page, "Silent")) {
            let compiled = compile(&book(text));
            let plain = offers::untried(compiled.diagnostics().iter());
            for d in offers::tried(&compiled, compiled.diagnostics()).iter().chain(&plain) {
                let label = d.label.iter().map(String::as_str);
                let others = d.others.iter().map(|(_, says)| says.as_str());
                let said = [d.message.as_str()].into_iter().chain(label).chain(others).chain(d.help.as_deref());
                for says in said {
                    let upper = says.chars().next().is_none_or(char::is_uppercase) && !says.starts_with("MIDI");
                    let ticks = says.matches('`').count();
                    if upper || says.ends_with('.') || ticks % 2 != 0 || says.contains("  ") || says.contains("``") {
                        failures.push(format!("{}: {says:?}", d.code));
                    }
                }
            }
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
