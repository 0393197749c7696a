//! A book after a tour: the same board, scenes dropped, renamed, shuffled and said differently.

use crate::settle_agrees::abstract_book::*;
use crate::settle_agrees::random::Random;

pub(crate) fn book(book: &Book, seed: u64) -> Book {
    let random = &mut Random::new(seed ^ 0x5eed);
    let mut out = book.clone();
    for at in 0..out.scenes.len() {
        if random.chance(30) {
            let other = random.below(out.scenes.len());
            out.scenes[at].says = book.scenes[other].says.clone();
        }
        if random.chance(15) {
            out.scenes[at].name = format!("{}-again", out.scenes[at].name);
        }
        if random.chance(20) {
            out.scenes[at].with.clear();
        }
    }
    // Only a scene that nothing derives from can go.
    let last = out.scenes.len() - 1;
    if random.chance(40) && !out.scenes.iter().any(|s| s.from == Some(last)) {
        out.scenes.pop();
    }
    out
}
