//! What a writer may have meant: edits of a statement that could not be read, each proved by reading it again.

use std::collections::BTreeMap;

use super::Facts;
use crate::source::Span;
use crate::syntax;
use crate::syntax::edit::{self, Edit};

/// Longer statements are not read again, in bytes.
const LONGEST: u32 = 4_000;
/// So many mistakes of one book are mended at most: beyond, something else is wrong.
const MOST: usize = 500;

/// Edits, in the order of the text.
pub(super) type Edits = Vec<(Span, String)>;

/// Tries edits.
pub(super) struct Mender<'f> {
    facts: &'f Facts<'f>,
    statements: BTreeMap<u32, Vec<Span>>,
    tried: usize,
}

/// One statement that could not be read.
pub(super) struct Unreadable<'f> {
    text: &'f str,
    at: Span,
    faults: usize,
    statements: usize,
}

impl<'f> Mender<'f> {
    pub(super) fn new(facts: &'f Facts<'f>) -> Mender<'f> {
        Mender { facts, statements: BTreeMap::new(), tried: 0 }
    }

    /// Counts one more mistake; false when there were too many to look at each.
    pub(super) fn has_time(&mut self) -> bool {
        self.tried += 1;
        self.tried <= MOST
    }

    /// The top-level statement around a place.
    pub(super) fn unreadable(&mut self, at: Span) -> Option<Unreadable<'f>> {
        let facts = self.facts;
        let spans = self.statements.entry(at.file).or_insert_with(|| {
            let tree = facts.trees.get(at.file as usize);
            let source = facts.files.get(at.file).map_or("", |f| f.text.as_str());
            tree.map_or(Vec::new(), |t| t.statements(source).map(|v| v.span()).collect())
        });
        let index = spans.partition_point(|s| s.start <= at.start).checked_sub(1)?;
        let at = spans.get(index).copied().filter(|s| s.end - s.start <= LONGEST)?;
        let text = facts.files.text(at);
        let (statements, faults) = read(text);
        Some(Unreadable { text, at, faults, statements })
    }
}

/// How many statements and how many mistakes a text holds.
fn read(text: &str) -> (usize, usize) {
    let (tree, faults) = syntax::parse(0, text);
    (tree.statements(text).count(), faults.len())
}

impl Unreadable<'_> {
    /// True when the statement reads with a mistake less after these edits.
    pub(super) fn recovers(&self, edits: &Edits) -> bool {
        self.left(edits).is_some()
    }

    /// How many mistakes are left after these edits; None if no fewer, or in other statements.
    pub(super) fn left(&self, edits: &Edits) -> Option<usize> {
        let (statements, faults) = read(&self.after(edits)?);
        (faults < self.faults && statements == self.statements).then_some(faults)
    }

    /// The statement after these edits, without its blanks.
    pub(super) fn mended(&self, edits: &Edits) -> Option<String> {
        Some(self.after(edits)?.split_whitespace().collect())
    }

    fn after(&self, edits: &Edits) -> Option<String> {
        let own = |span: &Span| {
            let (start, end) = (span.start.checked_sub(self.at.start)?, span.end.checked_sub(self.at.start)?);
            (end as usize <= self.text.len()).then_some(Span::new(0, start, end))
        };
        let moved: Option<Vec<Edit>> = edits.iter().map(|(span, text)| Some(Edit::new(own(span)?, text))).collect();
        Some(edit::apply(self.text, &moved?))
    }
}
