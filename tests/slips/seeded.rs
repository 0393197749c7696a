//! Seeded slips in both examples.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use rayon::prelude::*;

use super::edits::{Slip, slip, typo};
use super::judge::{Book, Printed, compile, lost, mended, printed, same};
use crate::support::dice::Dice;

fn full() -> bool {
    std::env::var("TIPRING_FULL").as_deref() == Ok("1")
}

/// A new one each run, unless it is given.
fn seed() -> u64 {
    let given = std::env::var("TIPRING_SEED").ok().and_then(|s| s.parse().ok());
    let seed = given.unwrap_or_else(|| {
        let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).expect("after 1970");
        now.as_nanos() as u64 ^ u64::from(std::process::id())
    });
    println!("TIPRING_SEED={seed}");
    seed
}

pub(crate) fn example(name: &str) -> Book {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    let files = ["board.scene", "songs.scene"];
    files.iter().map(|f| ((*f).to_owned(), fs::read_to_string(folder.join(f)).expect("an example"))).collect()
}

/// A book with one slip in one of its files.
fn slipped(dice: &mut Dice, book: &Book, make: fn(&mut Dice, &str) -> Option<Slip>) -> (&'static str, Book) {
    loop {
        // The musician's file is the longer one, and the one that is typed in a hurry.
        let file = usize::from(!dice.one_in(3));
        let Some(Slip { kind, text }) = make(dice, &book[file].1) else { continue };
        if text != book[file].1 {
            let mut other = book.clone();
            other[file].1 = text;
            return (kind, other);
        }
    }
}

/// The first line that differs, before and after.
fn differs(a: &Book, b: &Book) -> String {
    let lines = |book: &Book| {
        book.iter().flat_map(|(_, t)| t.lines().map(str::to_owned).collect::<Vec<_>>()).collect::<Vec<_>>()
    };
    let (a, b) = (lines(a), lines(b));
    let at = a.iter().zip(&b).take_while(|(x, y)| x == y).count();
    format!("    {:?}\n    {:?}", a.get(at), b.get(at))
}

/// What became of a slip.
enum End {
    /// It left no error.
    Clean,
    Mended,
    Left,
    Wrong(String),
}

fn end(book: &Book, right: &Printed, kind: &str, before: &Book) -> End {
    let (after, now, made) = mended(before);
    if after == *before {
        // The same text is the same book.
        return if now.errors() == 0 { End::Clean } else { End::Left };
    }
    let compiled = compile(before);
    let wrong = |what: &str| {
        let (slip, mend) = (differs(book, before), differs(before, &after));
        End::Wrong(format!("{kind}: {what}\n{slip}\n  then\n{mend}\n    {made:?}"))
    };
    let (first, then) = (printed(&compiled), printed(&now));
    let lost = lost(&first, &then, Some(right));
    if !lost.is_empty() {
        wrong(&format!("lost {} of what was known: {}", lost.len(), lost[..lost.len().min(3)].join("; ")))
    } else if compiled.errors() == 0 {
        wrong("there was no error, and it was changed")
    } else if now.errors() > 0 {
        End::Left
    } else if same(right, &then) {
        End::Mended
    } else {
        wrong("no error is left, and it is another book")
    }
}

#[test]
fn no_slip_ends_in_another_book() {
    let dice = &mut Dice(seed());
    let count = if full() { 2_000 } else { 60 };
    let books = ["winter", "spring"].map(|name| (example(name), printed(&compile(&example(name)))));
    let slips: Vec<_> = (0..count).map(|nth| slipped(dice, &books[nth % 2].0, slip)).collect();
    let ends = slips.par_iter().enumerate().map(|(nth, (kind, before))| {
        let (book, right) = &books[nth % 2];
        end(book, right, kind, before)
    });
    let ends: Vec<End> = ends.collect();
    let count_of = |which: fn(&End) -> bool| ends.iter().filter(|end| which(end)).count();
    let clean = count_of(|e| matches!(e, End::Clean));
    let (whole, left) = (count_of(|e| matches!(e, End::Mended)), count_of(|e| matches!(e, End::Left)));
    let wrong: Vec<&str> =
        ends.iter().filter_map(|e| if let End::Wrong(w) = e { Some(w.as_str()) } else { None }).collect();
    println!("{count} slips: {clean} leave no error, {whole} mended, {left} left to the reader, {} wrong", wrong.len());
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    slips.iter().for_each(|(kind, _)| *kinds.entry(kind).or_insert(0) += 1);
    println!("{kinds:?}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A few slips may all be of one kind; of hundreds, some must be mended and some left.
    assert!(count < 500 || whole > count / 10 && left > count / 10, "{whole} mended, {left} left");
}

/// The seed is fixed, so that the number to hold is one that was measured: when `--fix` made whatever reads, it restored
/// 875 of these 1,300 typos letter by letter (75 of the first 130), and ended in another book beside them. Nine of ten of
/// those are to be restored still. What is not: a name that is described once and said once, where either may be the
/// misspelt one, and what would change a cell that a draft shows.
#[test]
fn what_is_plain_is_still_mended() {
    let (count, baseline) = if full() { (1_300, 875) } else { (130, 75) };
    let dice = &mut Dice(1);
    let books = ["winter", "spring"].map(example);
    let slips: Vec<Book> = (0..count).map(|nth| slipped(dice, &books[nth % 2], typo).1).collect();
    let restored = slips.par_iter().enumerate().filter(|(nth, before)| mended(before).0 == books[nth % 2]).count();
    println!("{count} typos: {restored} restored letter by letter, of {baseline} that were");
    assert!(restored * 10 >= baseline * 9, "{restored} of {count} are restored, and {baseline} were");
}
