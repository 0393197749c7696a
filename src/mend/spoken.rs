//! How often the book says each name and each title, and where it says what a mend would take for a slip.

use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;

use super::Mend;
use crate::Compiled;
use crate::book::song::title_key;
use crate::check::How;
use crate::near::slip;
use crate::source::Span;
use crate::syntax::kind::Kind;
use crate::syntax::lexer::{Lexer, Tok, unquoted};
use crate::syntax::registry::{begins, reserved};
use crate::syntax::tree::View;

#[derive(Default)]
pub(super) struct Spoken<'c> {
    names: FxHashMap<&'c str, usize>,
    titles: FxHashMap<SmolStr, usize>,
    /// Where words that mends would respell stand in what can be read, whatever they are there.
    words: FxHashMap<&'c str, Vec<Span>>,
}

impl<'c> Spoken<'c> {
    /// As far as the mends of words and names ask for it.
    pub(super) fn of(book: &'c Compiled, mends: &[Mend<'c>]) -> Spoken<'c> {
        let mut spoken = Spoken::default();
        let respelt = mends.iter().filter(|(_, fix)| matches!(fix.how, How::Name | How::Word));
        let wanted: FxHashSet<&str> =
            respelt.flat_map(|(_, fix)| fix.edits.iter().map(|(at, _)| book.files.text(*at))).collect();
        if wanted.is_empty() {
            return spoken;
        }
        for (tree, (_, file)) in book.trees.iter().zip(book.files.iter()) {
            let mut unread = Vec::new();
            for statement in tree.statements(&file.text) {
                spoken.count(statement);
                unread.extend(
                    statement.all_inside().map(|(v, _)| v).filter(|v| v.kind() == Kind::Broken).map(View::span),
                );
            }
            spoken.find(tree.file, &file.text, &wanted, &unread);
        }
        spoken
    }

    fn count(&mut self, view: View<'c>) {
        let names = view.all(Kind::Name).count();
        for (nth, child) in view.children().enumerate() {
            match child.kind() {
                // What a part is called names nothing else.
                Kind::Name if view.kind() == Kind::Part && nth == 0 && names > 1 => {}
                Kind::Name => *self.names.entry(child.text()).or_insert(0) += 1,
                Kind::Text if matches!(view.kind(), Kind::Song | Kind::Set | Kind::Play | Kind::Drop) => {
                    *self.titles.entry(title_key(unquoted(child.text()))).or_insert(0) += 1;
                }
                _ => self.count(child),
            }
        }
    }

    fn find(&mut self, file: u32, text: &'c str, wanted: &FxHashSet<&str>, unread: &[Span]) {
        let mut lexer = Lexer::new(file, text, begins);
        let (mut tokens, mut faults) = (Vec::new(), Vec::new());
        while lexer.statement(&mut tokens, &mut faults) {
            for token in tokens.iter().filter(|t| t.kind == Tok::Word) {
                let at = Span::new(file, token.start, token.end);
                let word = text.get(at.start as usize..at.end as usize).unwrap_or("");
                if wanted.contains(word) && !unread.iter().any(|s| s.start <= at.start && at.end <= s.end) {
                    self.words.entry(word).or_default().push(at);
                }
            }
        }
    }

    /// True when a word is said nowhere else, neither by the book nor by the language: else it is what it says.
    fn nowhere_else(&self, at: Span, said: &str) -> bool {
        !reserved(said) && self.words.get(said).is_none_or(|places| places.iter().all(|p| *p == at))
    }

    /// True when a word of the language has surely one slip in it.
    pub(super) fn respelt(&self, at: Span, said: &str, meant: &str) -> bool {
        slip(said, meant) && self.nowhere_else(at, said)
    }

    /// True when a name is surely another one with one slip in it: it is said once, the other one is described and said
    /// elsewhere too, and no third is as near. Of two that are each said once, either may be the misspelt one, and a name
    /// that is said again, a part that is called so too, is no slip: what it names is gone.
    pub(super) fn misspelt(&self, at: Span, said: &str, meant: &str) -> bool {
        if said.starts_with('"') {
            let key = |text: &str| title_key(unquoted(text)).to_string();
            return sure(&key(said), &key(meant), self.titles.iter().map(|(k, n)| (k.as_str(), *n)));
        }
        self.nowhere_else(at, said) && sure(said, meant, self.names.iter().map(|(k, n)| (*k, *n)))
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
