//! What to say beside a name that nothing has.

use super::Trouble;
use crate::book::Book;

/// So many names are listed when none is near.
const FEW: usize = 12;

/// `did you mean …?`, if a name is near.
pub(super) fn meant<'c>(word: &str, has: impl IntoIterator<Item = &'c str>) -> Option<String> {
    crate::near::nearest(word, has).map(|near| format!("did you mean `{near}`?"))
}

/// `; there are …`: all the names when they are few, else nothing.
pub(super) fn listed<'c>(has: impl IntoIterator<Item = &'c str>) -> String {
    let mut names: Vec<&str> = has.into_iter().collect();
    names.sort_unstable();
    names.dedup();
    match names.as_slice() {
        [] => String::new(),
        [one] => format!("; there is only `{one}`"),
        [some @ .., last] if some.len() < FEW => format!("; there are `{}` and `{last}`", some.join("`, `")),
        _ => String::new(),
    }
}

/// `; did you mean …?`, else all the names when they are few, else nothing.
pub(super) fn offer<'c>(word: &str, has: impl Iterator<Item = &'c str> + Clone) -> String {
    meant(word, has.clone()).map_or_else(|| listed(has), |meant| format!("; {meant}"))
}

/// A set that the book does not have.
pub(super) fn no_set(book: &Book, title: &str) -> Trouble {
    Trouble(format!("there is no set `{title}`{}", offer(title, titles(book))))
}

/// The titles of the book's sets.
pub(super) fn titles(book: &Book) -> impl Iterator<Item = &str> + Clone {
    book.show.sets.iter().map(|set| set.title.as_str())
}
