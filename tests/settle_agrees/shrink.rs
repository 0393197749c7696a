//! A smaller book that still differs: what a person wants to read when the test fails.

use super::abstract_book::{Book, Say};

/// Leaves out one thing after another for as long as a difference remains; returns the last one.
pub(crate) fn shrink(
    mut book: Book,
    mut difference: String,
    differs: impl Fn(&Book) -> Option<String>,
) -> (Book, String) {
    loop {
        let smaller = candidates(&book).into_iter().find_map(|b| differs(&b).map(|d| (b, d)));
        let Some((next, still)) = smaller else {
            return (book, difference);
        };
        (book, difference) = (next, still);
    }
}

fn candidates(book: &Book) -> Vec<Book> {
    let mut all = Vec::new();
    let mut offer = |change: &dyn Fn(&mut Book)| {
        let mut smaller = book.clone();
        change(&mut smaller);
        all.push(smaller);
    };
    for scene in 0..book.scenes.len() {
        if book.scenes.len() > 1 && book.scenes.iter().all(|s| s.from != Some(scene)) {
            offer(&|b| {
                b.scenes.remove(scene);
                for from in b.scenes.iter_mut().filter_map(|s| s.from.as_mut()) {
                    *from -= usize::from(*from > scene);
                }
            });
        }
        if book.scenes[scene].from.is_some() {
            offer(&|b| b.scenes[scene].from = None);
        }
        for with in 0..book.scenes[scene].with.len() {
            offer(&|b| {
                b.scenes[scene].with.remove(with);
            });
        }
    }
    for device in 0..book.devices.len() {
        for part in 0..book.devices[device].parts.len() {
            offer(&|b| {
                b.devices[device].parts.remove(part);
                each_block(b, |says| {
                    says.retain(|s| !matches!(s, Say::Set(d, p, _) if (*d, *p) == (device, part)));
                    for say in says {
                        if let Say::Set(d, p, _) = say {
                            *p -= usize::from(*d == device && *p > part);
                        }
                    }
                });
            });
        }
    }
    let mut sizes = Vec::new();
    each_block(&mut book.clone(), |says| sizes.push(says.len()));
    for (block, size) in sizes.into_iter().enumerate() {
        for say in 0..size {
            offer(&|b| {
                let mut at = 0;
                each_block(b, |says| {
                    if at == block {
                        says.remove(say);
                    }
                    at += 1;
                });
            });
        }
    }
    all
}

fn each_block(book: &mut Book, mut act: impl FnMut(&mut Vec<Say>)) {
    book.defaults.iter_mut().for_each(&mut act);
    book.layers.iter_mut().for_each(|l| act(&mut l.says));
    book.scenes.iter_mut().for_each(|s| act(&mut s.says));
}
