//! The books that the properties are checked on.

use std::fs;
use std::path::{Path, PathBuf};

use crate::settle_agrees::{generate, write};

/// A book: path and text of each file.
pub(crate) type Book = Vec<(String, String)>;

/// A small book that uses most forms; every bit of it is flipped in turn.
pub(crate) const SMALL: &str = include_str!("small.scene");

/// With TIPRING_FULL=1 the costly properties are held in full, else on a share that every run can afford.
pub(crate) fn full() -> bool {
    std::env::var("TIPRING_FULL").as_deref() == Ok("1")
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn scene_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(scene_files(&path));
        } else if path.extension().is_some_and(|e| e == "scene") {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn read(path: &Path) -> (String, String) {
    let name = path.strip_prefix(root()).unwrap_or(path).display().to_string();
    (name, fs::read_to_string(path).expect("a text"))
}

/// One example: `winter` or `spring`.
pub(crate) fn example(name: &str) -> Book {
    scene_files(&root().join("examples").join(name)).iter().map(|p| read(p)).collect()
}

/// Both examples.
pub(crate) fn examples() -> Vec<Book> {
    let books = vec![example("winter"), example("spring")];
    assert!(books.iter().all(|b| b.len() == 2), "a board and songs each");
    books
}

/// Each description and starter that ships.
pub(crate) fn presets() -> Vec<Book> {
    let books: Vec<Book> = scene_files(&root().join("presets")).iter().map(|p| vec![read(p)]).collect();
    assert!(books.len() >= 8);
    books
}

/// Each section of the suite, with the head of its file before it.
pub(crate) fn suite() -> Vec<Book> {
    let mut books = Vec::new();
    for path in scene_files(&root().join("tests/suite")) {
        let (name, text) = read(&path);
        let mut parts = text.split("#===");
        let head = parts.next().unwrap_or("");
        books.extend(parts.map(|part| vec![(name.clone(), format!("{head}#==={part}"))]));
        books.push(vec![(name, text.clone())]);
    }
    assert!(books.len() > 100, "the suite has many sections");
    books
}

/// Random books.
pub(crate) fn random(seeds: std::ops::Range<u64>) -> impl Iterator<Item = Book> {
    seeds.map(|seed| vec![("book.scene".to_owned(), write::text(&generate::book(seed), seed))])
}

/// Compiles a book from memory.
pub(crate) fn compile(book: &[(String, String)]) -> tipring::Compiled {
    let texts: Vec<(&str, &str)> = book.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    tipring::compile_texts(&texts)
}
