//! Books with more of something than the tool can count: told as that alone, and quickly.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod support;

use support::{compile, one};
use tipring::check::Severity;

/// What a book is told that makes it unfit, with the first words of it.
fn errors(book: &str) -> Vec<(&'static str, String)> {
    let compiled = compile(&one("book.scene", book));
    let errors = compiled.diagnostics().iter().filter(|d| d.severity == Severity::Error);
    errors.map(|d| (d.code, d.message.clone())).collect()
}

fn lines(count: usize, each: impl Fn(usize) -> String) -> String {
    (0..count).map(|n| each(n) + "\n").collect()
}

const PLAYED: &str = "song \"Quay\" { bed }\n";

fn pedals(count: usize) -> String {
    lines(count, |n| format!("pedal p{n} {{ always on }}")) + &format!("scene bed {{ engage p0 }}\n{PLAYED}")
}

fn controls(count: usize) -> String {
    let all = lines(count, |n| format!("control c{n} by foot {{ x; y }}"));
    let last = count - 1;
    format!("switcher {{ loops 1 }}\npedal p {{ loop 1\n{all}}}\nscene bed {{ p.c0 x; p.c{last} y }}\n{PLAYED}")
}

fn states(count: usize) -> String {
    let all = lines(count, |n| format!("s{n}"));
    let last = count - 1;
    format!(
        "switcher {{ loops 1 }}\npedal p {{ loop 1; control c by foot {{\n{all}}} }}\nscene bed {{ engage p; p.c s{last} }}\n{PLAYED}"
    )
}

#[test]
fn one_more_than_can_be_counted_is_told_with_the_limit() {
    let mut books = vec![
        (pedals(65_537), "pedals, buffers and amps"),
        (controls(65_537), "controls and levels of `p`"),
        (states(65_537), "settings of `c`"),
    ];
    if std::env::var_os("TIPRING_FULL").is_some() {
        books.push((controls(65_535), "messages and moves by foot, the jacks counted in"));
    }
    for (book, what) in books {
        assert_eq!(errors(&book), [("too-many", format!("there are more than 65535 {what}"))]);
    }
}

#[test]
fn as_many_as_can_be_counted_are_counted() {
    assert_eq!(errors(&pedals(65_535)), []);
}
