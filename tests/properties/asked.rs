//! A compiled book answers the same, in whatever order it is asked, and studies nothing twice.

use std::path::PathBuf;

use tipring::Compiled;
use tipring::check::{Diagnostic, Severity};
use tipring::driver::{Options, compile_from};
use tipring::source::load::Held;

use super::books;

/// A book of which only errors were to be asked.
fn in_haste(book: &[(String, String)]) -> Compiled {
    let held = Held::new(book.iter().map(|(path, text)| (path.as_str(), text.as_bytes())));
    let roots = book.iter().map(|(path, _)| PathBuf::from(path)).collect();
    compile_from(&held, roots, Options { outside: true, errors_only: true, ..Options::default() })
}

fn errors(found: &[Diagnostic]) -> Vec<Diagnostic> {
    found.iter().filter(|d| d.severity == Severity::Error).cloned().collect()
}

#[test]
fn the_order_of_asking_changes_no_answer() {
    let (mut told, mut wrong, mut chosen) = (0, 0, 0);
    let all = books::examples().into_iter().chain(books::presets()).chain(books::suite()).chain(books::random(0..30));
    for book in all {
        let whole = books::compile(&book);
        let (found, allowed) = (whole.diagnostics().to_vec(), whole.allowed().to_vec());
        assert_eq!(whole.mistakes(), errors(&found), "picked out of all");

        let haste = in_haste(&book);
        assert_eq!(haste.mistakes(), errors(&found), "looked for alone:\n{book:?}");
        assert_eq!((haste.diagnostics(), haste.allowed()), (&*found, &*allowed), "asked later:\n{book:?}");

        // Filled before anything is asked: what is wrong does not hang on what was chosen.
        let filled = books::compile(&book).fill_least();
        assert_eq!((filled.diagnostics(), filled.allowed()), (&*found, &*allowed), "filled first:\n{book:?}");
        let later = whole.fill_least();
        assert_eq!(later.diagnostics(), &*found);
        assert_eq!(format!("{:?}", later.walk()), format!("{:?}", filled.walk()));
        assert_eq!(later.filled(), filled.filled());
        let twice = later.fill_least();
        assert_eq!(twice.filled(), filled.filled(), "filled again");
        told += found.len();
        wrong += filled.errors();
        chosen += filled.filled().map_or(0, |f| f.values.len());
    }
    println!("{told} diagnostics, {wrong} of them errors; {chosen} free cells chosen");
    assert!(told > 500 && wrong > 100 && chosen > 0, "{told} {wrong} {chosen}");
}

#[test]
fn a_walk_asked_before_filling_is_made_anew() {
    let mut moved = 0;
    for book in books::examples().into_iter().chain(books::suite()) {
        let compiled = books::compile(&book);
        let before = format!("{:?}", compiled.walk());
        let compiled = compiled.fill_least();
        let walk = format!("{:?}", compiled.walk());
        assert_eq!(walk, format!("{:?}", books::compile(&book).fill_least().walk()));
        moved += usize::from(walk != before);
    }
    println!("{moved} walks move other contacts once free cells are chosen");
    assert!(moved > 0);
}

#[test]
fn a_study_is_made_once() {
    let compiled = books::compile(&books::example("winter"));
    assert!(std::ptr::eq(compiled.walk(), compiled.walk()));
    assert!(std::ptr::eq(compiled.supply(), compiled.supply()));
    assert!(std::ptr::eq(compiled.wiring(), compiled.wiring()));
    assert!(std::ptr::eq(compiled.signal(), compiled.signal()));
    assert!(std::ptr::eq(compiled.rules(), compiled.rules()));
    assert!(std::ptr::eq(compiled.diagnostics(), compiled.diagnostics()));
    assert!(std::ptr::eq(compiled.hints(), compiled.hints()));
    assert!(compiled.filled().is_none(), "nobody asked for it");
}
