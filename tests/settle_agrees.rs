//! Settling, checked against two settlers that share no line with it: a naive one over the
//! generator's own model of a book, and an answer-set program run by an outside solver.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod compare;
    pub(crate) mod coverage;
    pub(crate) mod generate;
    pub(crate) mod naive;
    pub(crate) mod no_effect;
    pub(crate) mod oracle;
    pub(crate) mod random;
    pub(crate) mod seam;
    pub(crate) mod shrink;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

use settle_agrees::{compare, coverage::Coverage, generate, naive, no_effect, oracle, seam, shrink, write};

const BOOKS: u64 = 3_000;
const ORACLE_BOOKS: u64 = 300;
const NO_EFFECT_BOOKS: u64 = 300;

#[test]
fn the_naive_settler_agrees_on_random_books() {
    let mut coverage = Coverage::default();
    for seed in 0..BOOKS {
        let book = generate::book(seed);
        let expected = naive::settle(&book);
        let actual = seam::settle(&write::text(&book, seed));
        if let Some(difference) = compare::difference(&expected, &actual) {
            let settle = |book: &_| seam::settle(&write::text(book, seed));
            let (small, still) = shrink::shrink(book, difference.clone(), |book| {
                compare::difference(&naive::settle(book), &settle(book))
            });
            panic!(
                "seed {seed}: settle disagrees with the naive settler: {difference}\n\
                 in a smaller book: {still}\n\n{}",
                write::text(&small, seed)
            );
        }
        coverage.add(&book, &expected);
    }
    coverage.check(BOOKS as usize);
}

#[test]
fn the_outside_solver_agrees_on_random_books() {
    let seeds: Vec<u64> = (500_000..500_000 + ORACLE_BOOKS).collect();
    let books: Vec<_> = seeds.iter().map(|&seed| generate::book(seed)).collect();
    let Some(answers) = oracle::settle(&books) else {
        return;
    };
    assert_eq!(answers.len(), books.len(), "the outside solver settles every book");
    for ((seed, book), mut expected) in seeds.into_iter().zip(books).zip(answers) {
        let naive = naive::settle(&book);
        // Slots are no part of settling: the solver knows none.
        for (row, with_slot) in expected.rows.iter_mut().zip(&naive.rows) {
            row.slot.clone_from(&with_slot.slot);
        }
        let text = write::text(&book, seed);
        if let Some(difference) = compare::difference(&expected, &naive) {
            panic!("seed {seed}: the naive settler disagrees with the outside solver: {difference}\n\n{text}");
        }
        if let Some(difference) = compare::difference(&expected, &seam::settle(&text)) {
            panic!("seed {seed}: settle disagrees with the outside solver: {difference}\n\n{text}");
        }
    }
}

#[test]
fn what_is_said_to_change_nothing_changes_nothing() {
    let mut tried = 0;
    for seed in 900_000..900_000 + NO_EFFECT_BOOKS {
        let text = write::text(&generate::book(seed), seed);
        match no_effect::try_each(&text) {
            Ok(count) => tried += count,
            Err(why) => panic!("seed {seed}: {why}\n\nfrom:\n{text}"),
        }
    }
    assert!(tried > 300, "only {tried} statements were taken out");
}
