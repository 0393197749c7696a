//! How often the book says each name and each title.

use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

use crate::Compiled;
use crate::book::song::title_key;
use crate::near::slip;
use crate::syntax::kind::Kind;
use crate::syntax::lexer::unquoted;
use crate::syntax::tree::View;

#[derive(Default)]
pub(super) struct Spoken<'c> {
    names: FxHashMap<&'c str, usize>,
    titles: FxHashMap<SmolStr, usize>,
    /// What parts are called.
    parts: FxHashSet<&'c str>,
}

impl<'c> Spoken<'c> {
    pub(super) fn of(book: &'c Compiled) -> Spoken<'c> {
        let mut spoken = Spoken::default();
        for (tree, (_, file)) in book.trees.iter().zip(book.files.iter()) {
            tree.statements(&file.text).for_each(|statement| spoken.count(statement));
        }
        spoken
    }

    fn count(&mut self, view: View<'c>) {
        let names = view.all(Kind::Name).count();
        for (nth, child) in view.children().enumerate() {
            match child.kind() {
                // What a part is called names nothing else.
                Kind::Name if view.kind() == Kind::Part && nth == 0 && names > 1 => {
                    self.parts.insert(child.text());
                }
                Kind::Name => *self.names.entry(child.text()).or_insert(0) += 1,
                Kind::Text if matches!(view.kind(), Kind::Song | Kind::Set | Kind::Play | Kind::Drop) => {
                    *self.titles.entry(title_key(unquoted(child.text()))).or_insert(0) += 1;
                }
                _ => self.count(child),
            }
        }
    }

    /// True when a name is surely another one with one slip in it: it is said once, the other one is described and said
    /// elsewhere too, and no third is as near. What a part is called is no slip either. Of two that are each said once, either may be the misspelt one, and a name
    /// that is said again is no slip: what it names is gone.
    pub(super) fn misspelt(&self, said: &str, meant: &str) -> bool {
        if said.starts_with('"') {
            let key = |text: &str| title_key(unquoted(text)).to_string();
            return sure(&key(said), &key(meant), self.titles.iter().map(|(k, n)| (k.as_str(), *n)));
        }
        !self.parts.contains(said) && sure(said, meant, self.names.iter().map(|(k, n)| (*k, *n)))
    }
}

fn sure<'n>(said: &str, meant: &str, all: impl Iterator<Item = (&'n str, usize)>) -> bool {
    let (mut once, mut again, mut third) = (false, false, false);
    for (name, count) in all.filter(|(name, _)| name.len().abs_diff(said.len()) <= 8) {
        once |= name == said && count == 1;
        again |= name == meant && count > 1;
        third |= name != meant && slip(name, said);
    }
    once && again && !third && slip(said, meant)
}
