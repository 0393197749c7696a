//! Books cut short, with bits flipped and lines swapped: no panic, and always an answer.

use std::sync::atomic::{AtomicUsize, Ordering};

use tipring::Compiled;
use tipring::check::Severity;
use tipring::driver::{Options, compile_input};
use tipring::syntax::lexer::{Lexer, Token};
use tipring::syntax::registry;

use super::books::{self, Book};
use crate::settle_agrees::random::Random;

static ANSWERED: AtomicUsize = AtomicUsize::new(0);

/// An answer: a row as wide as the head for every scene, and places that lie in the text.
fn answered(compiled: &Compiled) {
    let width = compiled.table.cells.len();
    for preset in &compiled.presets {
        assert_eq!(compiled.table.row(preset.scene).len(), width);
    }
    for diagnostic in compiled.diagnostics() {
        assert!(diagnostic.at.start <= diagnostic.at.end, "{}", diagnostic.message);
        let length = compiled.files.get(diagnostic.at.file).map_or(0, |f| f.text.len());
        assert!(diagnostic.at.end as usize <= length, "{}", diagnostic.message);
    }
    // Names by place are bound once more: of every book in full, else of some.
    if books::full() || ANSWERED.fetch_add(1, Ordering::Relaxed).is_multiple_of(8) {
        for mention in compiled.mentions().all() {
            assert!(!compiled.files.text(mention.at).is_empty(), "{mention:?} stands nowhere");
        }
    }
}

/// Where tokens end.
fn token_ends(text: &str) -> Vec<usize> {
    let mut lexer = Lexer::new(0, text, registry::begins);
    let (mut ends, mut tokens, mut faults) = (Vec::new(), Vec::<Token>::new(), Vec::new());
    while lexer.statement(&mut tokens, &mut faults) {
        ends.extend(tokens.iter().map(|t| t.end as usize));
    }
    ends
}

/// Compiles a book with one of its files cut short, at each of these places.
fn cut(book: &[(String, String)], file: usize, ends: impl Iterator<Item = usize>) {
    for end in ends {
        let mut short = book.to_vec();
        short[file].1.truncate(end);
        answered(&books::compile(&short));
    }
}

/// A file of an example by itself at every third token, and with the rest of its book at every 60th. In full, by
/// itself at each letter, and with its book at each token.
fn cut_anywhere(name: &str, file: usize) {
    let book = books::example(name);
    let text = &book[file].1;
    let tokens = token_ends(text);
    if books::full() {
        cut(&book[file..=file], 0, text.char_indices().map(|(at, _)| at));
        cut(&book, file, tokens.into_iter());
    } else {
        cut(&book[file..=file], 0, tokens.iter().copied().step_by(3));
        cut(&book, file, tokens.into_iter().step_by(60));
    }
}

#[test]
fn the_winter_board_may_be_cut() {
    cut_anywhere("winter", 0);
}

#[test]
fn the_winter_songs_may_be_cut() {
    cut_anywhere("winter", 1);
}

#[test]
fn the_spring_board_may_be_cut() {
    cut_anywhere("spring", 0);
}

#[test]
fn the_spring_songs_may_be_cut() {
    cut_anywhere("spring", 1);
}

#[test]
fn every_bit_of_a_small_book_may_flip() {
    let bytes = books::SMALL.as_bytes();
    let (mut broken, mut noisy) = (0, Vec::new());
    // The lowest bit makes a neighbour, the third highest the other case, the highest what is no UTF-8.
    let bits = if books::full() { vec![0, 1, 2, 3, 4, 5, 6, 7] } else { vec![0, 5, 7] };
    for at in (0..bytes.len() * 8).filter(|at| bits.contains(&(at % 8))) {
        let mut flipped = bytes.to_vec();
        flipped[at / 8] ^= 1 << (at % 8);
        let compiled = compile_input(&flipped, Options::default());
        answered(&compiled);
        if std::str::from_utf8(&flipped).is_err() {
            broken += 1;
            assert!(compiled.files.get(0).is_some_and(|f| f.not_utf8.is_some()));
            let errors: Vec<&str> =
                compiled.diagnostics().iter().filter(|d| d.severity == Severity::Error).map(|d| d.code).collect();
            if errors != ["not-utf8"] {
                noisy.push((at / 8, errors));
            }
        }
    }
    assert!(noisy.is_empty(), "more than one error: {noisy:?}");
    // The book is plain ASCII: a highest bit set alone is never UTF-8.
    assert_eq!(broken, bytes.len());
}

fn swapped(text: &str, a: usize, b: usize) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    lines.swap(a, b);
    lines.join("\n")
}

#[test]
fn adjacent_lines_may_be_swapped() {
    for book in books::examples() {
        for file in 0..book.len() {
            let count = book[file].1.lines().count();
            for line in (1..count).step_by(if books::full() { 1 } else { 2 }) {
                let mut other = book.clone();
                other[file].1 = swapped(&book[file].1, line - 1, line);
                answered(&books::compile(&other));
            }
        }
    }
}

/// 5,000 in full.
fn some(count: usize) -> usize {
    if books::full() { 5_000 } else { count }
}

/// Swaps of any two lines of a book's file.
fn any_two(book: &Book, file: usize, count: usize, seed: u64) {
    let random = &mut Random::new(seed);
    let lines = book[file].1.lines().count();
    for _ in 0..count {
        let mut other = book.clone();
        other[file].1 = swapped(&book[file].1, random.below(lines), random.below(lines));
        answered(&books::compile(&other));
    }
}

#[test]
fn any_two_lines_of_a_small_book_may_be_swapped() {
    any_two(&vec![("small.scene".to_owned(), books::SMALL.to_owned())], 0, some(1_500), 4);
}

#[test]
fn any_two_lines_of_a_starter_may_be_swapped() {
    let starter = books::presets().into_iter().find(|b| b[0].0.contains("starter-small")).expect("it ships");
    any_two(&starter, 0, some(700), 1);
}

#[test]
fn any_two_lines_of_the_winter_songs_may_be_swapped() {
    any_two(&books::example("winter"), 1, some(60), 2);
}

#[test]
fn any_two_lines_of_the_spring_board_may_be_swapped() {
    any_two(&books::example("spring"), 0, some(60), 3);
}
