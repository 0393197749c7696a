//! Names of a book from what people write in a table.

use rustc_hash::FxHashSet;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use crate::Book;
use crate::syntax::registry::reserved;

/// Names given so far; no two are alike but for case.
#[derive(Default)]
pub(super) struct Names {
    taken: FxHashSet<String>,
}

impl Names {
    /// Those that a book has already, but for its scenes.
    pub(super) fn of(book: &Book) -> Names {
        let (board, show) = (&book.board, &book.show);
        let mut names = Names::default();
        let devices = board.devices.iter().map(|d| &d.name).chain(board.guitars.iter().map(|g| &g.name));
        let others = board.supplies.iter().map(|s| &s.name).chain(board.treadles.iter().map(|t| &t.name));
        for name in devices.chain(others).chain(board.chains.iter().map(|c| &c.name)) {
            names.take(name);
        }
        for layer in &show.layers {
            names.take(&layer.name);
        }
        names
    }

    pub(super) fn take(&mut self, name: &str) -> bool {
        self.taken.insert(name.to_lowercase())
    }

    /// A free name like this one.
    pub(super) fn free(&mut self, like: &str) -> String {
        let mut name = like.to_owned();
        let mut number = 2;
        while reserved(&name) || !self.take(&name) {
            name = format!("{like}-{number}");
            number += 1;
        }
        name
    }
}

/// Letters, digits and single hyphens, a letter first: the name that a text comes to. None where neither stands in it.
pub(super) fn of(text: &str) -> Option<String> {
    let mut name = String::with_capacity(text.len());
    for c in text.nfc() {
        match c {
            c if c.is_alphabetic() || is_combining_mark(c) && !name.is_empty() => name.push(c),
            c if c.is_ascii_digit() => {
                if name.is_empty() {
                    name.push_str("preset-");
                }
                name.push(c);
            }
            '\'' | '’' | '"' => {}
            _ if !name.is_empty() && !name.ends_with('-') => name.push('-'),
            _ => {}
        }
    }
    name.truncate(name.trim_end_matches('-').len());
    (!name.is_empty()).then_some(name)
}

/// A text that may stand in quotes.
pub(super) fn text(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    plain.replace('"', "'").replace('#', "no. ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_keep_their_letters() {
        let of = |text| of(text).unwrap_or_default();
        assert_eq!(of("Low Barn (solo)"), "Low-Barn-solo");
        assert_eq!(of("übergang"), "übergang");
        assert_eq!(of("2nd verse"), "preset-2nd-verse");
        assert_eq!(of("Miller's -- end"), "Millers-end");
        assert_eq!(of("ferry-in"), "ferry-in");
        assert_eq!(of("12"), "preset-12");
    }

    #[test]
    fn no_name_is_given_twice() {
        let mut names = Names::default();
        assert!(names.take("ember"));
        assert_eq!(names.free("Ember"), "Ember-2");
        assert_eq!(names.free("scene"), "scene-2");
    }
}
