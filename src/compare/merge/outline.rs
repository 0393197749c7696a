//! A text cut into pieces: every statement with the comments above and behind it, every comment that stands for
//! itself, and what lies between. The pieces of a list, one behind the other, are its text byte for byte.

use super::key::{self, HeadPart, Member};
use super::side::Side;
use crate::syntax::kind::Kind;
use crate::syntax::tree::View;

/// The statements of a file, or of a block.
#[derive(Default)]
pub(super) struct List<'s> {
    /// All of it, as it is written.
    pub raw: &'s str,
    /// What stands on the line of the opening brace.
    pub open: &'s str,
    pub pieces: Vec<Piece<'s>>,
    /// The blanks behind the last piece.
    pub close: &'s str,
    /// The order of its statements is part of what they say.
    pub ordered: bool,
    /// It is the whole file.
    pub top: bool,
}

/// A statement, or a comment on a line of its own with a blank line (or the end) below it.
pub(super) struct Piece<'s> {
    /// The same on both sides for what speaks of the same.
    pub key: String,
    /// The same for people; at the top only.
    pub about: String,
    pub named: bool,
    pub kind: Option<Kind>,
    /// From the end of the piece before it up to the statement: blank lines, comments, the indent.
    pub before: &'s str,
    /// The comments above it.
    pub lead: Vec<&'s str>,
    /// The statement; empty for a comment that stands for itself, which is all in `before`.
    pub body: &'s str,
    /// Up to the end of the line, or to the sign that parts it from its neighbour.
    pub after: &'s str,
    /// Nothing stands before it on its line.
    pub line: bool,
    /// The comment behind it.
    pub trail: &'s str,
    /// What it says, without layout.
    pub value: String,
    /// The targets of a list.
    pub members: Vec<Member>,
    /// Its words before the block, part by part.
    pub heads: Vec<HeadPart>,
    pub block: Option<Block<'s>>,
}

/// A statement's words, and the statements in its braces.
pub(super) struct Block<'s> {
    /// Up to the brace.
    pub head: &'s str,
    pub list: List<'s>,
    /// Behind the closing brace.
    pub rest: &'s str,
}

/// A statement in the base and on both sides.
#[derive(Clone, Copy)]
pub(super) struct Three<'p, 's> {
    pub base: Option<&'p Piece<'s>>,
    pub mine: Option<&'p Piece<'s>>,
    pub theirs: Option<&'p Piece<'s>>,
}

impl List<'_> {
    /// All on one line.
    pub(super) fn inline(&self) -> bool {
        !self.top && !self.raw.contains('\n')
    }
}

impl<'s> Piece<'s> {
    /// A comment that stands for itself.
    pub(super) fn is_note(&self) -> bool {
        self.kind.is_none()
    }
}

/// A file's text, and where its comments stand.
struct Reader<'s> {
    text: &'s str,
    comments: Vec<(usize, usize)>,
}

/// A file as a list.
pub(super) fn outline(side: Side<'_>) -> List<'_> {
    let reader = Reader { text: side.text, comments: comments(side) };
    let views: Vec<View<'_>> = side.tree.statements(side.text).collect();
    let mut list = reader.list((0, side.text.len()), &views, None);
    list.top = true;
    // The second of one name has a number behind it.
    number(&mut list.pieces);
    list
}

/// Where the comments of a text stand.
fn comments(side: Side<'_>) -> Vec<(usize, usize)> {
    let inside = side.tree.statements(side.text).flat_map(View::all_inside);
    let texts = inside.filter(|(v, _)| v.kind() == Kind::Text).map(|(v, _)| span(v));
    let mut out = Vec::new();
    let mut at = 0;
    for (from, to) in texts.chain([(side.text.len(), side.text.len())]) {
        while let Some(hash) = side.text.get(at..from).and_then(|t| t.find('#')) {
            let rest = side.text.get(at + hash..).unwrap_or("");
            let end = at + hash + rest.find('\n').unwrap_or(rest.len());
            out.push((at + hash, end));
            at = end;
        }
        at = at.max(to);
    }
    out
}

/// The comments of a text, in its order.
pub(super) fn comment_texts(side: Side<'_>) -> Vec<&str> {
    comments(side).into_iter().filter_map(|(from, to)| side.text.get(from..to)).map(str::trim_end).collect()
}

fn span(view: View<'_>) -> (usize, usize) {
    (view.span().start as usize, view.span().end as usize)
}

fn number(pieces: &mut [Piece<'_>]) {
    let mut seen: std::collections::HashMap<String, usize> = std::collections::HashMap::new();
    for piece in pieces {
        let count = seen.entry(piece.key.clone()).or_insert(0);
        *count += 1;
        if *count > 1 {
            piece.key += &format!("\u{0}{count}");
        }
    }
}

impl<'s> Reader<'s> {
    fn slice(&self, from: usize, to: usize) -> &'s str {
        self.text.get(from..to.max(from)).unwrap_or("")
    }

    /// The list between two places. `around` is the kind of the statement around it.
    fn list(&self, (from, to): (usize, usize), views: &[View<'s>], around: Option<Kind>) -> List<'s> {
        let mut at = from;
        let first = views.first().map_or(to, |v| span(*v).0);
        if around.is_some()
            && let Some(line) = self.slice(from, first).find('\n')
        {
            at = from + line + 1;
        }
        let open = self.slice(from, at);
        let mut pieces = Vec::new();
        for view in views {
            let (start, end) = span(*view);
            at = self.notes(at, start, &mut pieces);
            let before = self.slice(at, start);
            let lead = before.lines().map(str::trim).filter(|l| l.starts_with('#')).collect();
            let stop = self.end(end, to);
            let after = self.slice(end, stop);
            let trail = after.find('#').and_then(|hash| after.get(hash..)).unwrap_or("").trim_end();
            let (about, named) = if around.is_none() { key::about(*view) } else { (String::new(), false) };
            let key = if around.is_none() { about.clone() } else { key::inner(*view) };
            let block = self.block(*view);
            pieces.push(Piece {
                key,
                about,
                named,
                kind: Some(view.kind()),
                before,
                lead,
                body: self.slice(start, end),
                after,
                line: before.contains('\n') || at == 0 || self.slice(0, at).ends_with('\n'),
                trail,
                value: key::canon(*view),
                members: key::members(*view),
                heads: key::head(*view, block.as_ref().map_or(view.text(), |b| b.head)),
                block,
            });
            at = stop;
        }
        let mut tail = Vec::new();
        let gap = self.slice(at, to);
        // The last lines with a comment are pieces too; what is left are blanks.
        let last = gap.rfind('#').map_or(at, |hash| {
            let rest = self.slice(at + hash, to);
            at + hash + rest.find('\n').map_or(rest.len(), |n| n + 1)
        });
        self.all_notes(at, last, &mut tail);
        pieces.append(&mut tail);
        let ordered = around.is_some_and(key::ordered);
        if !ordered && around.is_some() {
            number(&mut pieces);
        }
        List { raw: self.slice(from, to), open, pieces, close: self.slice(last, to), ordered, top: false }
    }

    /// The comments above a statement with a blank line below them become pieces; gives where its own begin.
    fn notes(&self, from: usize, start: usize, out: &mut Vec<Piece<'s>>) -> usize {
        let mut own = from;
        let mut at = from;
        let mut pending = from;
        for line in self.slice(from, start).split_inclusive('\n') {
            at += line.len();
            let blank = line.trim().is_empty();
            if blank && line.ends_with('\n') {
                // What stood above is parted from the statement.
                if self.slice(pending, at).contains('#') {
                    own = at - line.len();
                    pending = own;
                }
            }
        }
        self.all_notes(from, own, out);
        own
    }

    /// Each comment line between two places, as a piece.
    fn all_notes(&self, from: usize, to: usize, out: &mut Vec<Piece<'s>>) {
        let (mut start, mut at) = (from, from);
        for line in self.slice(from, to).split_inclusive('\n') {
            at += line.len();
            let Some(hash) = line.find('#') else { continue };
            let text = line.get(hash..).unwrap_or("").trim_end();
            out.push(Piece {
                key: text.to_owned(),
                about: String::new(),
                named: false,
                kind: None,
                before: self.slice(start, at),
                lead: vec![text],
                body: "",
                after: "",
                line: true,
                trail: "",
                value: text.to_owned(),
                members: Vec::new(),
                heads: Vec::new(),
                block: None,
            });
            start = at;
        }
    }

    /// Where a piece ends whose statement ends at `at`: behind its line, or behind the sign before the next.
    fn end(&self, at: usize, limit: usize) -> usize {
        let rest = self.slice(at, limit);
        let signs = rest.trim_start_matches([' ', '\t', ';', '\u{a0}']);
        let used = rest.len() - signs.len();
        if let Some(line) = signs.find('\n').filter(|n| {
            let line = signs.get(..*n).unwrap_or("").trim_start();
            line.is_empty() || line.starts_with('#')
        }) {
            return at + used + line + 1;
        }
        if signs.starts_with('#') {
            return limit;
        }
        let sign = rest.get(..used).and_then(|s| s.rfind(';'));
        sign.map_or(at, |n| at + n + 1)
    }

    fn block(&self, view: View<'s>) -> Option<Block<'s>> {
        use Kind::*;
        let (start, end) = span(view);
        let view = if view.kind() == Instead { view.children().next()? } else { view };
        let within = match view.kind() {
            Scene | Layer | Default => view.child(SceneBody),
            Control => view.child(States),
            Switcher | Helper | Listener | Guitar | Supply | Pedal | Buffer | Amp | Panel | Song | Set | Slots => {
                Some(view)
            }
            _ => None,
        }?;
        let (from, to) = span(within);
        // The first brace that stands in no text and no comment.
        let texts = view.children().filter(|v| v.kind() == Text).map(span);
        let first = self.comments.partition_point(|c| c.1 <= from);
        let comments = self.comments.iter().skip(first).take_while(|c| c.0 < to).copied();
        let hidden: Vec<(usize, usize)> = texts.chain(comments).collect();
        let braces = self.slice(from, to).match_indices('{').map(|(n, _)| from + n);
        let open = braces.into_iter().find(|at| !hidden.iter().any(|(a, b)| a <= at && at < b))?;
        if !self.slice(from, to).ends_with('}') {
            return None;
        }
        let inner = within.children().filter(|v| span(*v).0 > open);
        let views: Vec<View<'s>> = inner.collect();
        let head = self.slice(start, open);
        Some(Block { head, list: self.list((open + 1, to - 1), &views, Some(view.kind())), rest: self.slice(to, end) })
    }
}
