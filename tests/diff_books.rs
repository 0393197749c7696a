//! The comparison on random books: its list does what it says, undoes itself, and does with the least.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
// The generator is shared with tests that use more of it.
#![allow(dead_code)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

#[path = "compared/apply.rs"]
mod apply;
#[path = "compared/brute.rs"]
mod brute;
#[path = "compared/rewritten.rs"]
mod rewritten;
#[path = "compared/turned.rs"]
mod turned;
#[path = "settle_agrees"]
mod settle_agrees {
    pub(crate) mod abstract_book;
    pub(crate) mod board;
    pub(crate) mod generate;
    pub(crate) mod random;
    pub(crate) mod write;
    pub(crate) mod write_board;
}

use settle_agrees::random::Random;
use settle_agrees::{generate, write};
use tipring::compare::{Comparison, Options, compare};
use tipring::{Compiled, compile_texts};

const BOOKS: u64 = 400;

fn compiled(text: &str) -> Compiled {
    compile_texts(&[("book.scene", text)])
}

fn exactly(old: &Compiled, new: &Compiled, exact: bool) -> Vec<tipring::compare::edits::Work> {
    compare(old, new, Options { exact, ..Options::default() }).list.work
}

/// Pairs of books: one board with other scenes, and boards that have nothing to do with each other.
fn pairs() -> impl Iterator<Item = (u64, Compiled, Compiled)> {
    (0..BOOKS).map(|seed| {
        let one = generate::book(seed);
        let other = if seed % 4 == 3 { generate::book(seed + 10_000) } else { turned::book(&one, seed) };
        (seed, compiled(&write::text(&one, seed)), compiled(&write::text(&other, seed)))
    })
}

#[test]
fn a_book_does_not_differ_from_itself_however_it_is_written() {
    let mut slots = 0;
    for seed in 0..BOOKS {
        let text = write::text(&generate::book(seed), seed);
        let (a, b) = rewritten::files(&text, seed);
        let (one, other) = (compiled(&text), compile_texts(&[("a.scene", &a), ("b.scene", &b)]));
        slots += one.presets.iter().filter(|p| p.slot.is_some()).count();
        for exact in [true, false] {
            let options = Options { exact, ..Options::default() };
            assert!(compare(&one, &one, options).same(), "seed {seed}");
            let comparison = compare(&one, &other, options);
            assert!(comparison.same(), "seed {seed}: {}\n{text}", told(&comparison));
        }
    }
    assert!(slots > BOOKS as usize, "{slots}");
}

fn told(comparison: &Comparison<'_>) -> String {
    use tipring::print::diff;
    diff::text::all(&diff::story::page(comparison, diff::page::Reader::Both), false)
}

#[test]
fn the_list_makes_the_new_memory_of_the_old_one_and_undoes_itself() {
    let (mut edits, mut stored, mut pulses) = (0, 0, 0);
    for (seed, one, other) in pairs() {
        for exact in [true, false] {
            let mut memory = apply::memory(&one);
            let list = exactly(&one, &other, exact);
            edits += list.iter().map(|w| w.edits.len()).sum::<usize>();
            stored += list.iter().filter(|w| w.from.is_some()).count();
            apply::list(&mut memory, &one, &other, &list);
            apply::holds(&memory, &other).unwrap_or_else(|why| panic!("seed {seed}, exact {exact}: {why}"));
            // From there back: what earlier work left in free cells is not known, so nothing is taken for granted.
            let back = exactly(&other, &one, false);
            apply::list(&mut memory, &other, &one, &back);
            apply::holds(&memory, &one).unwrap_or_else(|why| panic!("seed {seed} and back: {why}"));
            pulses += 1;
        }
    }
    assert_eq!(pulses, 2 * BOOKS as usize);
    assert!(edits > 4_000 && stored > 500, "{edits} edits, {stored} stored elsewhere");
}

#[test]
fn no_list_does_with_less() {
    let (mut ruled, mut moved, mut circles) = (0, 0, 0);
    for seed in 0..600 {
        let mut random = Random::new(seed);
        let (one, other) = brute::books(&mut random);
        let (old, new) = (compiled(&one.text()), compiled(&other.text()));
        if !other.keeps_its_own_rules() {
            continue;
        }
        for exact in [true, false] {
            let list = compare(&old, &new, Options { exact, ..Options::default() }).list;
            assert!(list.least);
            let (least, circle) = brute::least(&one, &other, exact);
            assert_eq!(list.count(), least, "seed {seed}, exact {exact}\n{}\n{}", one.text(), other.text());
            let mut memory = apply::memory(&old);
            apply::list(&mut memory, &old, &new, &list.work);
            apply::holds(&memory, &new).unwrap_or_else(|why| panic!("seed {seed}: {why}"));
            assert!(other.keeps_rules(&memory), "seed {seed}: rules\n{}\n{}", one.text(), other.text());
            moved += list.work.iter().filter(|w| w.from.is_some()).count();
            ruled += usize::from(brute::rules_cost(&one, &other, exact));
            circles += usize::from(circle);
        }
    }
    println!("{moved} stored elsewhere; rules cost edits in {ruled} books; order cost work in {circles}");
    assert!(moved > 100 && ruled > 5 && circles > 5, "{moved} {ruled} {circles}");
}
