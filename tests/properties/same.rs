//! Same input, same bytes: twice, with statements in another order, laid out otherwise, and in other files.

use tipring::print::model::Shape;
use tipring::syntax::fingerprint::fingerprint;
use tipring::syntax::kind::Kind;
use tipring::{Compiled, print};

use super::answers::formats;
use super::books::{self, Book};
use crate::settle_agrees::random::Random;

/// The statements of a book's own files, in their order, without `use`.
fn statements(compiled: &Compiled) -> Vec<String> {
    let own = compiled.trees.iter().zip(compiled.files.iter()).filter(|(_, (_, file))| !file.shipped);
    let all = own.flat_map(|(tree, (_, file))| tree.statements(&file.text));
    all.filter(|v| v.kind() != Kind::Use).map(|v| v.text().to_owned()).collect()
}

/// The statements in random order, in `files` files.
fn shuffled(statements: &[String], files: usize, random: &mut Random) -> Book {
    let mut statements = statements.to_vec();
    random.shuffle(&mut statements);
    let mut book: Book = (0..files).map(|n| (format!("part-{n}.scene"), String::new())).collect();
    for statement in statements {
        let file = random.below(files);
        book[file].1 += &statement;
        book[file].1 += random.word(&["\n", "\n\n", "  # so it is\n", "\n# next\n", " ;\n"]);
    }
    book
}

fn print(compiled: &Compiled) -> String {
    fingerprint(&compiled.files, &compiled.trees)
}

fn equal(one: &Compiled, other: &Compiled, what: &str) {
    assert_eq!(print(one), print(other), "{what}: fingerprint");
    for ((format, one), (_, other)) in formats(one).into_iter().zip(formats(other)) {
        let first = one.lines().zip(other.lines()).find(|(a, b)| a != b);
        assert!(one == other, "{what}: {format} differs: {first:?}");
    }
}

fn hold(book: &Book, rounds: u64) {
    let whole = books::compile(book);
    let again = books::compile(book);
    equal(&whole, &again, "twice");
    let why = Shape { free: false, why: true };
    assert_eq!(print::json::table(&whole, why), print::json::table(&again, why));
    assert_eq!(print::yaml::table(&whole, why), print::yaml::table(&again, why));
    let own = statements(&whole);
    for seed in 0..rounds {
        let random = &mut Random::new(seed);
        equal(&whole, &books::compile(&shuffled(&own, 1, random)), "shuffled");
        let files = random.within(2, 4);
        equal(&whole, &books::compile(&shuffled(&own, files, random)), "in other files");
    }
}

#[test]
fn examples_are_the_same_in_any_order_and_files() {
    books::examples().iter().for_each(|book| hold(book, 6));
}

#[test]
fn starters_are_the_same_in_any_order_and_files() {
    let starters: Vec<Book> = books::presets().into_iter().filter(|b| b[0].0.contains("starter")).collect();
    assert_eq!(starters.len(), 2);
    starters.iter().for_each(|book| hold(book, 6));
}

#[test]
fn random_books_are_the_same_in_any_order_and_files() {
    books::random(1_000..1_060).for_each(|book| hold(&book, 2));
}

#[test]
fn every_statement_counts_in_the_fingerprint() {
    let whole = books::compile(&books::example("winter"));
    let own = statements(&whole);
    let of = |own: &[String]| print(&books::compile(&[("a.scene".to_owned(), own.join("\n"))]));
    let full = of(&own);
    assert_eq!(full, print(&whole));
    for left_out in (0..own.len()).step_by(7) {
        let rest: Vec<String> =
            own.iter().enumerate().filter(|(n, _)| *n != left_out).map(|(_, s)| s.clone()).collect();
        assert_ne!(of(&rest), full, "{}", own[left_out]);
    }
}
