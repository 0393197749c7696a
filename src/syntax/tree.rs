//! The tree: nodes in the order of the text, in one flat list.
//!
//! Nothing is lost: what lies between two nodes (blanks, signs, comments) is the source's own text. What could
//! not be read is a node too, [`Kind::Broken`].

use super::kind::Kind;
use crate::source::Span;

/// One node; its children follow it directly, up to `next`. Packed, for a large book has a node for every six letters:
/// they are the largest part of what it needs of memory.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[repr(C, packed)]
pub struct Node {
    pub(super) start: u32,
    pub(super) end: u32,
    /// Index of the first node after this one's children.
    pub(super) next: u32,
    pub(super) kind: Kind,
}

/// The tree of one file.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    /// Number of the file.
    pub file: u32,
    pub(super) nodes: Vec<Node>,
}

/// A node of a tree together with its text.
#[derive(Clone, Copy)]
pub struct View<'t> {
    tree: &'t Tree,
    source: &'t str,
    at: u32,
    node: Node,
}

impl Tree {
    /// The statements of the file, in its order.
    pub fn statements<'t>(&'t self, source: &'t str) -> Children<'t> {
        Children { tree: self, source, at: 0, end: self.nodes.len() as u32 }
    }

    /// True for the file of a night's book: it amends another.
    pub fn amends(&self, source: &str) -> bool {
        self.statements(source).any(|v| matches!(v.kind(), Kind::Without | Kind::Instead))
    }

    /// The node with this number.
    pub fn view<'t>(&'t self, source: &'t str, at: u32) -> Option<View<'t>> {
        let node = *self.nodes.get(at as usize)?;
        Some(View { tree: self, source, at, node })
    }

    /// The leaf that stands exactly there, if one does: nodes stand in the order of the text.
    pub fn leaf<'t>(&'t self, source: &'t str, at: Span) -> Option<View<'t>> {
        let from = self.nodes.partition_point(|n| n.start < at.start);
        let same = self.nodes.iter().skip(from).take_while(|n| n.start == at.start);
        let index = from + same.enumerate().filter(|(_, n)| n.end == at.end).last()?.0;
        self.view(source, index as u32)
    }

    /// The last node that begins there or before.
    pub fn before<'t>(&'t self, source: &'t str, start: u32) -> Option<View<'t>> {
        let index = self.nodes.partition_point(|n| n.start <= start).checked_sub(1)?;
        self.view(source, index as u32)
    }

    /// The node around a node.
    pub fn parent<'t>(&'t self, source: &'t str, child: View<'_>) -> Option<View<'t>> {
        let before = self.nodes.get(..child.at as usize)?;
        let index = before.iter().rposition(|n| n.next > child.at)?;
        self.view(source, index as u32)
    }

    /// How many nodes there are.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// True when the file held no statement.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// Same statements, same words, whatever the blanks and the line breaks.
    pub fn same(&self, source: &str, other: &Tree, other_source: &str) -> bool {
        self.len() == other.len()
            && self.nodes.iter().zip(&other.nodes).enumerate().all(|(i, (a, b))| {
                let leaf = a.next as usize == i + 1;
                a.kind == b.kind && a.next == b.next && (!leaf || squeezed(source, a).eq(squeezed(other_source, b)))
            })
    }
}

/// A leaf's letters without blanks: `20 %` and `20%` are the same quantity, `{ ; }` and `{ }` the same empty block.
fn squeezed<'s>(source: &'s str, node: &Node) -> impl Iterator<Item = char> + 's {
    let text = source.get(node.start as usize..node.end as usize).unwrap_or("");
    let keep = node.kind == Kind::Text;
    text.chars().filter(move |c| keep || !(c.is_whitespace() || *c == ';'))
}

impl<'t> View<'t> {
    /// What the node is.
    pub fn kind(self) -> Kind {
        self.node.kind
    }

    /// Its number in the tree.
    pub fn id(self) -> u32 {
        self.at
    }

    /// Where it stands.
    pub fn span(self) -> Span {
        Span::new(self.tree.file, self.node.start, self.node.end)
    }

    /// Its text.
    pub fn text(self) -> &'t str {
        self.source.get(self.node.start as usize..self.node.end as usize).unwrap_or("")
    }

    /// It and all that stands inside it, in the order of the text; each with how many nodes stand inside.
    pub fn all_inside(self) -> impl Iterator<Item = (View<'t>, usize)> {
        let inside = self.tree.nodes.get(self.at as usize..self.node.next as usize).unwrap_or(&[]);
        inside.iter().zip(self.at..).map(move |(node, at)| {
            let count = (node.next - at).saturating_sub(1) as usize;
            (View { tree: self.tree, source: self.source, at, node: *node }, count)
        })
    }

    /// Its direct children.
    pub fn children(self) -> Children<'t> {
        Children { tree: self.tree, source: self.source, at: self.at + 1, end: self.node.next }
    }

    /// Its first child of one kind.
    pub fn child(self, kind: Kind) -> Option<View<'t>> {
        self.children().find(|v| v.kind() == kind)
    }

    /// All children of one kind.
    pub fn all(self, kind: Kind) -> impl Iterator<Item = View<'t>> {
        self.children().filter(move |v| v.kind() == kind)
    }

    /// The n-th child of one kind.
    pub fn nth(self, kind: Kind, n: usize) -> Option<View<'t>> {
        self.all(kind).nth(n)
    }

    /// True when one of its words is `word`.
    pub fn says(self, word: &str) -> bool {
        self.all(Kind::Word).any(|v| v.text() == word)
    }

    /// True when something inside could not be read.
    pub fn broken(self) -> bool {
        let from = self.at as usize;
        self.tree.nodes.get(from..self.node.next as usize).is_some_and(|n| n.iter().any(|n| n.kind == Kind::Broken))
    }
}

/// An iterator over siblings.
#[derive(Clone)]
pub struct Children<'t> {
    tree: &'t Tree,
    source: &'t str,
    at: u32,
    end: u32,
}

impl<'t> Iterator for Children<'t> {
    type Item = View<'t>;

    fn next(&mut self) -> Option<View<'t>> {
        if self.at >= self.end {
            return None;
        }
        let view = self.tree.view(self.source, self.at)?;
        self.at = view.node.next.max(self.at + 1);
        Some(view)
    }
}
