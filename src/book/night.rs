//! What amends a book for one night: data, beside the book that it made.

use super::Book;
use super::out::Gone;
use crate::ids::DeviceId;
use crate::source::{Files, Span};
use crate::syntax::kind::Kind;
use crate::syntax::tree::{Tree, View};

/// A statement that stands in the place of another.
#[derive(Clone, PartialEq, Debug)]
pub struct Replaced {
    /// What it is.
    pub kind: Kind,
    /// Its name or its title; empty for what a book has one of.
    pub name: String,
    /// Where it is named.
    pub at: Span,
    /// The statements that it stands for.
    pub old: Vec<Span>,
}

/// A night's book: what it changes of the book that it uses.
#[derive(Clone, Debug, Default)]
pub struct Night {
    /// The file that amends; it alone may be written to.
    pub file: u32,
    /// What it uses, as written.
    pub bases: Vec<String>,
    /// Files that it puts in the place of others, as written: what the book says, and what is read.
    pub files: Vec<(String, String)>,
    /// Statements that stand in the place of others, in the order written.
    pub replaced: Vec<Replaced>,
    /// Devices that are out, as indexes of the board's devices while they are still there, and where that is said.
    pub out: Vec<(DeviceId, Span)>,
    /// Those among them that are not on the board that stands there tonight.
    pub absent: Vec<String>,
    /// What went with them.
    pub gone: Gone,
}

/// A statement that holds, and what it takes over from the one that it stands for: a device that is like the one before.
pub type Holding<'t> = (View<'t>, Option<View<'t>>);

/// The statements of a book's own files that hold, in the order read: what stands behind `instead` in the place of what it
/// replaces, and nothing that is out.
pub fn statements<'t>(book: &'t Book, files: &'t Files, trees: &'t [Tree]) -> impl Iterator<Item = Holding<'t>> {
    let own = trees.iter().zip(files.iter()).filter(|(_, (_, file))| !file.shipped);
    let night = book.night.as_deref();
    own.flat_map(|(tree, (_, file))| tree.statements(&file.text)).filter_map(move |view| match night {
        None => Some((view, None)),
        Some(night) => night.holding(book, files, trees, view),
    })
}

impl Night {
    fn holding<'t>(&self, book: &Book, files: &'t Files, trees: &'t [Tree], view: View<'t>) -> Option<Holding<'t>> {
        if view.kind() == Kind::Instead {
            let inner = view.children().find(|inner| inner.kind() != Kind::UseBy)?;
            let name = inner.child(Kind::Name).map(View::text);
            let like = inner.child(Kind::Like).and_then(|like| like.child(Kind::Name)).map(View::text);
            let old = self.replaced.iter().find(|r| within(r.at, inner.span())).and_then(|r| r.old.first());
            let old = old.filter(|_| like.is_some() && like == name);
            return Some((inner, old.and_then(|at| statement(files, trees, *at))));
        }
        let at = view.span();
        let gone = self.replaced.iter().any(|r| r.old.contains(&at))
            || self.gone.devices.iter().any(|d| within(d.at, at))
            || self.gone.rules.contains(&at)
            || self.gone.allows.contains(&at)
            || (view.kind() == Kind::Fallback && !book.show.fallbacks.iter().any(|f| f.at == at));
        (!gone).then_some((view, None))
    }
}

fn within(inner: Span, outer: Span) -> bool {
    inner.file == outer.file && outer.start <= inner.start && inner.end <= outer.end
}

fn statement<'t>(files: &'t Files, trees: &'t [Tree], at: Span) -> Option<View<'t>> {
    let text = &files.get(at.file)?.text;
    trees.get(at.file as usize)?.statements(text).find(|view| view.span() == at)
}
