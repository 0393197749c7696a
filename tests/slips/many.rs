//! Many slips in one book: it is compiled a bounded number of times, and what is not proved by then is left.

use std::cell::Cell;
use std::path::{Path, PathBuf};

use tipring::driver::Options;
use tipring::mend::mend;
use tipring::source::load::Shelf;

/// One text, and how often it was read: once for each time that the book is compiled.
struct Counted(String, Cell<usize>);

impl Shelf for Counted {
    fn read(&self, _: &Path) -> Result<Vec<u8>, String> {
        self.1.set(self.1.get() + 1);
        Ok(self.0.clone().into_bytes())
    }
}

/// How often the book was compiled, and how many of its errors went.
fn tried(text: String) -> (usize, usize, usize) {
    let shelf = Counted(text, Cell::new(0));
    let options = Options::default();
    let roots = [PathBuf::from("book.scene")];
    let before = tipring::driver::compile_from(&shelf, roots.to_vec(), options).errors();
    shelf.1.set(0);
    let mended = mend(&shelf, &roots, options);
    // Texts that are not written yet are not read from the shelf: only the first compilation is.
    assert_eq!(shelf.1.get(), 1);
    (mended.compilations, before, mended.compiled.errors())
}

fn book(pedals: usize, tail: impl Fn(usize) -> &'static str, engage: impl Fn(usize) -> &'static str) -> String {
    let mut text = format!("switcher {{ loops {pedals} }}\npedal ember {{ loop 1 }}\n");
    for n in 2..=pedals {
        text += &format!("pedal reed-{n} {{ loop {n}; code R{n}; tail {} }}\n", tail(n));
    }
    for n in 0..pedals * 4 {
        text += &format!("scene moss-{n} {{ {} ember }}\n", engage(n));
    }
    text
}

#[test]
fn many_mends_that_hold_are_proved_together() {
    let (compiled, before, after) = tried(book(50, |_| "2 s", |n| if n % 2 == 0 { "engaeg" } else { "engage" }));
    assert_eq!((before, after), (100, 0));
    assert_eq!(compiled, 2);
}

#[test]
fn a_mend_that_does_not_hold_is_found_among_many() {
    // `2 h` has no unit, and `2 H` would not be a time.
    let (compiled, before, after) =
        tried(book(50, |n| if n == 30 { "2 h" } else { "2 s" }, |n| if n < 60 { "engaeg" } else { "engage" }));
    assert_eq!(before - after, 60);
    assert!(after > 0);
    assert!(compiled <= 2 * 7 + 3, "{compiled}");
}

#[test]
fn a_book_full_of_doubt_is_compiled_a_bounded_number_of_times() {
    let (compiled, before, after) = tried(book(80, |n| if n % 3 == 0 { "2 h" } else { "2" }, |_| "engage"));
    assert!(compiled <= 42, "{compiled}");
    assert!(after <= before, "{before} errors before, {after} after");
}
