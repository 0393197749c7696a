//! What a book says, as far as it prints it, and whether one book keeps what another said.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use tipring::Compiled;
use tipring::driver::{Options, compile_from};
use tipring::mend::mend;
use tipring::print;
use tipring::source::load::Held;

/// Path and text of each file.
pub(crate) type Book = Vec<(String, String)>;

pub(crate) fn compile(book: &Book) -> Compiled {
    compile_from(&held(book), roots(book), Options::default())
}

fn held(book: &Book) -> Held {
    Held::new(book.iter().map(|(path, text)| (path.as_str(), text.as_bytes())))
}

fn roots(book: &Book) -> Vec<PathBuf> {
    book.iter().map(|(path, _)| PathBuf::from(path)).collect()
}

/// The book as `--fix` leaves it, and what it says it did.
pub(crate) fn mended(book: &Book) -> (Book, Compiled, Vec<String>) {
    let mended = mend(&held(book), &roots(book), Options::default());
    let mut after = book.clone();
    for changed in mended.changed {
        let file = after.iter_mut().find(|(path, _)| changed.path == Path::new(path)).expect("a file of the book");
        file.1 = changed.new;
    }
    (after, mended.compiled, mended.mends)
}

/// What a book prints.
#[derive(PartialEq)]
pub(crate) struct Printed {
    /// By scene and column: what is stored.
    cells: BTreeMap<(String, String), String>,
    /// How often each line of the sheet stands there, without slots and numbers.
    lines: BTreeMap<String, usize>,
}

pub(crate) fn printed(compiled: &Compiled) -> Printed {
    let mut cells = BTreeMap::new();
    let table = print::csv::table(compiled, false);
    let mut rows = table.lines().map(|row| row.split(',').collect::<Vec<_>>());
    let head = rows.next().expect("a head");
    for row in rows {
        for (column, value) in head.iter().zip(&row).skip(2) {
            cells.insert((row[1].to_owned(), (*column).to_owned()), (*value).to_owned());
        }
        cells.insert((row[1].to_owned(), "is there".to_owned()), "yes".to_owned());
    }
    let wanted = print::sheet::Wanted { draft: compiled.errors() > 0, ..print::sheet::Wanted::default() };
    let sheet = print::doc::text::write(&[print::sheet::reading::doc(&print::sheet::sheet(compiled, &wanted))], false);
    let mut lines = BTreeMap::new();
    for line in sheet.lines() {
        // A scene whose pin could not be read stood in another slot, and songs are counted.
        let number = |word: &&str| word.chars().all(|c| c.is_ascii_digit() || c == '.');
        let words: Vec<&str> = line.split_whitespace().filter(|w| !number(w)).collect();
        if words.is_empty() {
            continue;
        }
        *lines.entry(words.join(" ")).or_insert(0) += 1;
    }
    Printed { cells, lines }
}

/// What was known before and is another now. A sheet leaves out what is not known, so its lines may become those of the
/// right book, and no others.
pub(crate) fn lost(before: &Printed, after: &Printed, right: Option<&Printed>) -> Vec<String> {
    let mut lost = Vec::new();
    for ((scene, column), value) in before.cells.iter().filter(|(_, v)| *v != "?") {
        let now = after.cells.get(&(scene.clone(), column.clone()));
        if now != Some(value) {
            lost.push(format!("{scene} {column}: {value} before, {now:?} now"));
        }
    }
    for (line, count) in before.lines.iter().filter(|(line, _)| !(line.contains('?') || passing(line))) {
        let now = after.lines.get(line).copied().unwrap_or(0);
        let should = right.map_or(*count, |right| right.lines.get(line).copied().unwrap_or(0));
        if now < (*count).min(should) {
            lost.push(format!("a line of the sheet: {line}"));
        }
    }
    if let Some(right) = right {
        let known = |line: &str| before.lines.contains_key(line) || right.lines.contains_key(line);
        let made_up = after.lines.keys().filter(|line| !(known(line) || line.contains('?') || passing(line)));
        lost.extend(made_up.map(|line| format!("a line of the sheet that nobody wrote: {line}")));
    }
    lost
}

/// Lines that speak of the draft itself.
fn passing(line: &str) -> bool {
    line.contains("source ") || line.contains("DRAFT")
}

/// The same books, whatever they are called.
pub(crate) fn same(a: &Printed, b: &Printed) -> bool {
    let lines =
        |p: &Printed| p.lines.iter().filter(|(l, _)| !passing(l)).map(|(l, n)| (l.clone(), *n)).collect::<Vec<_>>();
    a.cells == b.cells && lines(a) == lines(b)
}
