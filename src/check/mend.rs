//! What a writer may have meant: edits of a statement that could not be read, each proved by reading it again.

use std::cell::OnceCell;
use std::collections::BTreeMap;

use rustc_hash::FxHashSet;

use super::Facts;
use crate::source::Span;
use crate::syntax;
use crate::syntax::edit::{self, Edit};
use crate::syntax::fault::Fault;
use crate::syntax::kind::Kind;
use crate::syntax::registry::reserved;
use crate::syntax::tree::View;

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
    /// Every name that some file gives, with the statement that gives it.
    names: OnceCell<FxHashSet<(&'f str, Kind)>>,
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
        Mender { facts, statements: BTreeMap::new(), names: OnceCell::new(), tried: 0 }
    }

    /// Counts one more mistake; false when there were too many to look at each.
    pub(super) fn has_time(&mut self) -> bool {
        self.tried += 1;
        self.tried <= MOST
    }

    /// Some file gives this name to what a statement of this kind may name.
    pub(super) fn gives(&self, name: &str, user: Kind) -> bool {
        let names = self.names.get_or_init(|| {
            let files = self.facts.trees.iter().zip(self.facts.files.iter());
            let all = files.flat_map(|(tree, (_, file))| tree.statements(&file.text)).flat_map(View::all_inside);
            let all = all.filter(|(view, _)| gives(view.kind(), view.all(Kind::Name).count()));
            all.filter_map(|(view, _)| Some((view.child(Kind::Name)?.text(), view.kind()))).collect()
        });
        let of = |kinds: &[Kind]| kinds.iter().any(|kind| names.contains(&(name, *kind)));
        match user {
            Kind::Part | Kind::From | Kind::Pinned | Kind::Every => of(&[Kind::Scene]),
            Kind::With => of(&[Kind::Layer]),
            Kind::LoopRef => of(&[Kind::Pedal, Kind::Buffer, Kind::Amp]),
            _ => of(GIVERS),
        }
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
        let own = spans.get(index).copied().filter(|s| s.end - s.start <= LONGEST)?;
        // What stands behind it in no statement belongs to the question: a brace that then closes nothing.
        let whole = facts.files.get(own.file).map_or(own.end, |f| f.text.len() as u32);
        let next = spans.get(index + 1).map_or(whole, |s| s.start);
        let end = if next.saturating_sub(own.end) <= LONGEST { next } else { own.end };
        let at = Span { end, ..own };
        let text = facts.files.text(at);
        let (statements, faults) = read(text);
        Some(Unreadable { text, at, faults, statements })
    }
}

/// Statements whose first name is given to what they describe.
const GIVERS: &[Kind] = &[
    Kind::Pedal,
    Kind::Buffer,
    Kind::Amp,
    Kind::Helper,
    Kind::Listener,
    Kind::Guitar,
    Kind::Supply,
    Kind::Treadle,
    Kind::Chain,
    Kind::Scene,
    Kind::Layer,
    Kind::Outlet,
    Kind::Control,
    Kind::Level,
    Kind::Leg,
    Kind::State,
    Kind::Code,
    Kind::Knob,
];

/// The first name in such a statement is given, not used.
fn gives(kind: Kind, names: usize) -> bool {
    match kind {
        Kind::Part => names > 1,
        // Letters of switches.
        Kind::Banks => true,
        kind => GIVERS.contains(&kind),
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

    /// Nothing is wrong where these edits are made: reading does not stop there, and of the names that they put there, or
    /// stand beside, those that are given are free to be given and those that are used are `known`.
    pub(super) fn holds_there(&self, edits: &Edits, known: &dyn Fn(&str, Kind) -> bool) -> bool {
        let Some(text) = self.after(edits) else { return false };
        let mut moved = 0i64;
        let mut near: Vec<(i64, i64)> = Vec::new();
        for (span, new) in edits {
            let start = i64::from(span.start) - i64::from(self.at.start) + moved;
            near.push((start, start + new.len() as i64));
            moved += new.len() as i64 - i64::from(span.end - span.start);
        }
        let beside = |at: Span| {
            let (start, end) = (i64::from(at.start), i64::from(at.end));
            let blank = |a: i64, b: i64| text.get(a as usize..b as usize).is_some_and(|t| t.trim().is_empty());
            near.iter().any(|(from, to)| {
                start <= *to && end >= *from || start > *to && blank(*to, start) || end < *from && blank(end, *from)
            })
        };
        let (tree, faults) = syntax::parse(0, &text);
        let stuck =
            |fault: &Fault| matches!(fault, Fault::Unexpected { at, .. } | Fault::StrayBrace { at } if beside(*at));
        if faults.iter().any(stuck) {
            return false;
        }
        let held = |view: View<'_>| {
            let names = view.all(Kind::Name).count();
            view.children().filter(|c| c.kind() == Kind::Name).enumerate().all(|(nth, name)| {
                let given = nth == 0 && gives(view.kind(), names);
                !beside(name.span()) || if given { !reserved(name.text()) } else { known(name.text(), view.kind()) }
            })
        };
        tree.statements(&text).all(|statement| held(statement) && statement.all_inside().all(|(view, _)| held(view)))
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
