//! Books in memory, and fixes applied to them.
#![allow(dead_code, reason = "each test takes what it needs")]

pub(crate) mod dice;

use std::path::PathBuf;

use tipring::Compiled;
use tipring::check::{self, Diagnostic, Fix, Severity};
use tipring::driver::{Options, compile_from};
use tipring::source::load::Held;

/// The files of one book: path and bytes. The first is the one that is opened.
pub(crate) type Book = Vec<(String, Vec<u8>)>;

/// Compiles the first file of a book, and what it uses.
pub(crate) fn compile(book: &Book) -> Compiled {
    let held = Held::new(book.iter().map(|(path, bytes)| (path.as_str(), bytes.as_slice())));
    compile_from(&held, vec![PathBuf::from(&book[0].0)], Options::default())
}

/// A book of one file.
pub(crate) fn one(path: &str, text: &str) -> Book {
    vec![(path.to_owned(), text.as_bytes().to_vec())]
}

/// Everything that is told.
pub(crate) fn told(compiled: &Compiled) -> impl Iterator<Item = &Diagnostic> {
    compiled.diagnostics().iter()
}

/// The same as a reader sees it: with what was tried as the way out.
pub(crate) fn offered(compiled: &Compiled) -> Vec<Diagnostic> {
    tipring::mend::offers::tried(compiled, compiled.diagnostics())
}

/// The book after a fix.
pub(crate) fn fixed(book: &Book, compiled: &Compiled, fix: &Fix) -> Book {
    let mut book = book.clone();
    let mut edits: Vec<_> = fix.edits.iter().collect();
    edits.sort_by_key(|(span, _)| *span);
    for pair in edits.windows(2) {
        assert!(pair[0].0.file != pair[1].0.file || pair[0].0.end <= pair[1].0.start, "edits overlap: {fix:?}");
    }
    for (span, text) in edits.into_iter().rev() {
        let path = compiled.files.path(*span);
        let file = book.iter_mut().find(|(p, _)| p == path).expect("a fix edits a file of the book");
        file.1.splice(span.start as usize..span.end as usize, text.bytes());
    }
    book
}

/// A text with `\u{200B}` in it as that character.
pub(crate) fn unescaped(text: &str) -> String {
    let mut pieces = text.split("\\u{");
    let first = pieces.next().unwrap_or_default().to_owned();
    pieces.fold(first, |out, piece| {
        let (hex, rest) = piece.split_once('}').expect("an escape ends with a brace");
        let c = u32::from_str_radix(hex, 16).ok().and_then(char::from_u32).expect("an escape is a character");
        out + &c.to_string() + rest
    })
}

/// The codes told, sorted.
pub(crate) fn codes(compiled: &Compiled) -> Vec<&'static str> {
    let mut codes: Vec<_> = told(compiled).map(|d| d.code).collect();
    codes.sort_unstable();
    codes
}

/// Applies every fix on its own; says which ones leave their diagnostic, or spoil the form of another line. With
/// `alone` they bring no other error or warning to light either.
pub(crate) fn check_fixes(book: &Book, compiled: &Compiled, at: &str, alone: bool, failures: &mut Vec<String>) {
    for diagnostic in compiled.diagnostics() {
        let Some(fix) = &diagnostic.fix else { continue };
        let after = compile(&fixed(book, compiled, fix));
        let mut left = codes(compiled);
        left.retain({
            let mut first = true;
            move |code| *code != diagnostic.code || !std::mem::take(&mut first)
        });
        let mut got = codes(&after);
        // What was hidden behind a mistake may deserve a hint.
        let hint = |code: &str| check::rule(code).is_some_and(|r| r.severity > Severity::Warning);
        got.retain(|code| !hint(code));
        left.retain(|code| !hint(code));
        let count = |codes: &[&str], code: &str| codes.iter().filter(|c| **c == code).count();
        let same = |code: &str| count(&got, code) == count(&left, code);
        if (alone && got != left) || !same(diagnostic.code) || !same("syntax") {
            failures.push(format!("{at}: fix \"{}\" of {} leaves {got:?}, not {left:?}", fix.says, diagnostic.code));
        }
    }
}
