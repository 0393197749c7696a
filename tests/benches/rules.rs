//! What the reasoning over rules costs on boards of 200 atoms and 100 rules, beside an answer-set solver (clingo) that
//! is asked three of the same questions in the same run: can all rules hold, which pedals can never be engaged, which
//! rules the others imply. The solver's process is timed less the same process with nothing to solve.
//!
//! Run: `cargo bench --bench rules`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]
#![allow(dead_code, reason = "shared with the test, which takes more of it")]

#[path = "../rules_agree"]
mod rules_agree {
    pub(crate) mod generate;
    pub(crate) mod model;
    pub(crate) mod oracle;
    #[path = "../settle_agrees/random.rs"]
    pub(crate) mod random;
    pub(crate) mod write;
}

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rules_agree::generate::{self, Size};
use rules_agree::model::Book;
use rules_agree::{oracle, write};
use tipring::Compiled;

const SIZE: Size = Size { pedals: 130, jacks: 25, controls: 60, ports: 8, outputs: 4, scenes: 40, rules: 100 };
const BOOKS: u64 = 6;
const ATOMS: usize = 200;
const MOST: Duration = Duration::from_secs(1);

fn compile(book: &Book) -> Compiled {
    tipring::compile_texts(&[("book.scene", &write::text(book))])
}

/// 100 rules: as they come, they clash; in every other book those that do are taken out and others put in their place
/// until all can be kept, so that the questions about each pedal, state and rule are asked.
fn book(seed: u64) -> Book {
    let mut book = generate::book(700_000 + seed, &SIZE);
    let mut more = 0;
    if seed.is_multiple_of(2) {
        return book;
    }
    loop {
        let clashes = compile(&book).rules().clashes.clone();
        let mut last: Vec<usize> = clashes.iter().filter_map(|c| c.rules.last().copied()).collect();
        if last.is_empty() {
            return book;
        }
        last.sort_unstable();
        last.dedup();
        last.iter().rev().for_each(|rule| drop(book.rules.remove(*rule)));
        // Of another random book on the same board: the generator gives a board and its rules from one seed.
        while book.rules.len() < SIZE.rules {
            more += 1;
            let other = generate::rules(800_000 + seed * 1_000 + more, &book, 1);
            book.rules.extend(other);
        }
    }
}

fn best(mut work: impl FnMut()) -> Duration {
    let one = |_| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..5).map(one).min().unwrap()
}

/// The outside solver's process on some books.
fn solver(books: &[Book]) -> Duration {
    let input = oracle::input(books);
    best(|| {
        let mut child = oracle::process().expect("python3 starts");
        child.stdin.take().unwrap().write_all(&input).unwrap();
        let output = child.wait_with_output().unwrap();
        assert!(output.status.success(), "the outside solver failed");
    })
}

fn main() {
    let ready = Command::new(oracle::python()).args(["-c", "import clingo"]).stderr(Stdio::null()).status();
    let ready = ready.is_ok_and(|status| status.success());
    if !ready {
        println!("SKIPPED: python3 with clingo is missing, so there is nothing to hold it against");
    }
    let empty = if ready { solver(&[]) } else { Duration::ZERO };
    println!(
        "{:>6} {:>6} {:>8} {:>7} {:>11} {:>11} {:>7}",
        "atoms", "rules", "clashes", "broken", "reasoning", "clingo", "ratio"
    );
    for seed in 0..BOOKS {
        let book = book(seed);
        let compiled = compile(&book);
        assert_eq!(compiled.book.board.rules.len(), SIZE.rules, "{}", write::text(&book));
        let mut rules = compiled.rules().clone();
        let ours = best(|| rules = tipring::study::rules::study(&compiled.book, &compiled.table, &compiled.presets));
        let atoms = rules.logic.asks.len();
        let theirs = ready.then(|| solver(std::slice::from_ref(&book)).saturating_sub(empty));
        // Less than the process's own ups and downs: it saw at once that the rules clash, and asked no more.
        let clear = theirs.filter(|t| *t > Duration::from_millis(5));
        let ratio = clear.map_or("-".to_owned(), |t| format!("{:.2}", ours.as_secs_f64() / t.as_secs_f64()));
        let theirs = theirs.map_or("-".to_owned(), |t| format!("{:.1} ms", t.as_secs_f64() * 1e3));
        println!(
            "{atoms:>6} {:>6} {:>8} {:>7} {:>8.1} ms {theirs:>11} {ratio:>7}",
            compiled.book.board.rules.len(),
            rules.clashes.len(),
            rules.broken.len(),
            ours.as_secs_f64() * 1e3,
        );
        assert!(atoms >= ATOMS, "only {atoms} atoms");
        assert!(ours < MOST, "the reasoning took {ours:?}");
    }
}
