//! An answer in every format, whatever the text.

use tipring::print::model::Shape;
use tipring::{Compiled, print};

use super::books;

/// All formats of a book's table.
pub(crate) fn formats(compiled: &Compiled) -> Vec<(&'static str, String)> {
    let why = Shape { free: true, why: false };
    vec![
        ("csv", print::csv::table(compiled, false)),
        ("csv with free", print::csv::table(compiled, true)),
        ("text", print::text::table(compiled)),
        ("json", print::json::table(compiled, Shape::default())),
        ("json with free", print::json::table(compiled, why)),
        ("yaml", print::yaml::table(compiled, Shape::default())),
        ("words", print::words::table(compiled)),
    ]
}

fn answers(compiled: &Compiled) {
    for (format, text) in formats(compiled) {
        assert!(!text.is_empty() || compiled.book.show.scenes.is_empty(), "{format} says nothing");
    }
    let why = Shape { free: false, why: true };
    assert!(print::json::table(compiled, why).contains("tipring-table"));
    print::diagnostics::json_lines(&compiled.files, compiled.diagnostics());
}

#[test]
fn every_book_has_an_answer_in_every_format() {
    let all = books::examples().into_iter().chain(books::presets()).chain(books::suite()).chain(books::random(0..100));
    for book in all {
        answers(&books::compile(&book));
    }
}

#[test]
fn a_small_book_cut_anywhere_has_an_answer() {
    for end in 0..=books::SMALL.len() {
        answers(&tipring::compile_texts(&[("small.scene", &books::SMALL[..end])]));
    }
}

#[test]
fn the_small_book_is_sound() {
    let compiled = tipring::compile_texts(&[("small.scene", books::SMALL)]);
    let errors: Vec<&str> = compiled.diagnostics().iter().map(|d| d.message.as_str()).collect();
    assert_eq!(compiled.errors(), 0, "{errors:?}");
}
