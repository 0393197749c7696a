//! Two people's edits of one file, merged by scene and cell, not by line.
//!
//! Mine is kept as it is written, and what only the other side changed is edited into it: a statement replaced, put
//! in behind the one it follows there, or taken out. What both changed differently is a conflict; mine stays, and a
//! comment above says what the other side wants. Comments never conflict.

mod inner;
mod outline;

use std::collections::BTreeSet;

use crate::source::Span;
use crate::syntax::edit::{CONFLICT, Edit, apply};
use crate::syntax::tree::Tree;
use outline::{Item, Outline};

/// A file's text and its tree.
#[derive(Clone, Copy)]
pub struct Side<'s> {
    pub text: &'s str,
    pub tree: &'s Tree,
}

/// Something that both sides changed, and not alike.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Conflict {
    /// The scene, song or device it is in: "scene `solo`".
    pub about: String,
    /// What it said; None when it said nothing.
    pub base: Option<String>,
    /// What mine says now.
    pub mine: Option<String>,
    /// What the other side says now.
    pub theirs: Option<String>,
}

/// The merged text.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Merged {
    /// Mine, with the other side's edits, and a comment at every conflict.
    pub text: String,
    /// What both changed differently.
    pub conflicts: Vec<Conflict>,
}

/// Merges what the other side did since `base` into mine.
pub fn merge(base: Side<'_>, mine: Side<'_>, theirs: Side<'_>) -> Merged {
    let (base, mine, theirs) = (Outline::of(base), Outline::of(mine), Outline::of(theirs));
    let mut work = Work { base: &base, mine: &mine, theirs: &theirs, edits: Vec::new(), conflicts: Vec::new() };
    work.items();
    let Work { edits, conflicts, .. } = work;
    Merged { text: apply(mine.text, &joined(edits)), conflicts }
}

/// Insertions at one place, in the order they were made, become one.
fn joined(edits: Vec<Edit>) -> Vec<Edit> {
    let mut out: Vec<Edit> = Vec::new();
    for edit in edits {
        let empty = edit.at.start == edit.at.end;
        match out.iter_mut().find(|e| empty && e.at == edit.at) {
            Some(found) => found.text += &edit.text,
            None => out.push(edit),
        }
    }
    out
}

struct Work<'w> {
    base: &'w Outline<'w>,
    mine: &'w Outline<'w>,
    theirs: &'w Outline<'w>,
    edits: Vec<Edit>,
    conflicts: Vec<Conflict>,
}

impl<'w> Work<'w> {
    fn edit(&mut self, from: usize, to: usize, text: impl Into<String>) {
        self.edits.push(Edit::new(Span::new(0, from as u32, to as u32), text));
    }

    fn items(&mut self) {
        let (base, mine, theirs) = (self.base, self.mine, self.theirs);
        let keys: BTreeSet<&str> = [base, mine, theirs].iter().flat_map(|o| &o.items).map(|i| i.key.as_str()).collect();
        for key in keys {
            let (b, m, t) = (base.find(key), mine.find(key), theirs.find(key));
            match (b, m, t) {
                (_, Some(m), Some(t)) => self.both(b, m, t),
                (Some(b), Some(m), None) if m.whole == b.whole => self.remove(m),
                (Some(b), Some(m), None) => {
                    let conflict = self.conflict(Some(b), Some(m), None);
                    self.tell(Some(m), conflict);
                }
                (Some(b), None, Some(t)) if b.whole != t.whole => {
                    let conflict = self.conflict(Some(b), None, Some(t));
                    self.tell(None, conflict);
                }
                _ => {}
            }
        }
        // In the other side's order, so that what it put in one behind the other stays so.
        for (at, item) in theirs.items.iter().enumerate() {
            if base.find(&item.key).is_none() && mine.find(&item.key).is_none() {
                self.bring(at, item);
            }
        }
        let (b, m, t) = (base.tail(), mine.tail(), theirs.tail());
        if t != b && m != t && !t.is_empty() {
            let end = mine.text.len();
            let text = if m == b { t.to_owned() } else { format!("\n{t}") };
            let start = if m == b { end - m.len() } else { end };
            self.edit(start, end, text);
        }
    }

    fn conflict(&self, b: Option<&Item>, m: Option<&Item>, t: Option<&Item>) -> Conflict {
        let one = |side: &Outline<'_>, item: Option<&Item>| {
            item.map(|i| crate::compare::said::one_line(side.slice(i.start, i.end)))
        };
        let about = m.or(t).or(b).map_or(String::new(), |i| i.about.clone());
        Conflict { about, base: one(self.base, b), mine: one(self.mine, m), theirs: one(self.theirs, t) }
    }

    /// Notes a conflict, and says so above my item, or at the end when mine is gone.
    fn tell(&mut self, m: Option<&Item>, conflict: Conflict) {
        let says = match &conflict.theirs {
            Some(theirs) => format!("the other side says `{theirs}`"),
            None => format!("the other side took out `{}`", conflict.base.as_deref().unwrap_or("")),
        };
        let text = format!("{CONFLICT}{}: {says}\n", conflict.about);
        match m {
            Some(item) => {
                let at = self.mine.line_start(item.start);
                self.edit(at, at, text);
            }
            None => {
                let end = self.mine.text.len();
                let gap = if self.mine.text.ends_with('\n') { "" } else { "\n" };
                self.edit(end, end, format!("{gap}{text}"));
            }
        }
        self.conflicts.push(conflict);
    }

    /// Takes out a statement with the comments right above it, whole lines where it stands alone on them.
    fn remove(&mut self, item: &Item) {
        let from = if self.mine.opens_line(item.start) { item.lead } else { item.start };
        let to = self.mine.line_end(item.end);
        let rest = self.mine.slice(item.end, to).trim_start();
        if self.mine.opens_line(item.start) && (rest.is_empty() || rest.starts_with('#')) {
            self.edit(from, (to + 1).min(self.mine.text.len()), "");
        } else {
            self.edit(item.start, item.end, "");
        }
    }

    /// Puts in a statement that only the other side has, with its comments, behind the one it follows there.
    fn bring(&mut self, at: usize, item: &Item) {
        let theirs = self.theirs;
        let text = theirs.slice(item.lead, theirs.line_end(item.end)).trim_end_matches('\r').to_owned();
        let blank = theirs.slice(0, item.lead).ends_with("\n\n");
        let before = theirs.items.iter().take(at).rev().find_map(|i| self.mine.find(&i.key));
        let gap = if blank { "\n\n" } else { "\n" };
        match before {
            Some(anchor) => {
                let end = self.mine.line_end(anchor.end);
                self.edit(end, end, format!("{gap}{text}"));
            }
            None => {
                let end = self.mine.text.len();
                let open = if self.mine.text.is_empty() || self.mine.text.ends_with('\n') { "" } else { "\n" };
                let blank = if blank && end > 0 { "\n" } else { "" };
                self.edit(end, end, format!("{open}{blank}{text}\n"));
            }
        }
    }

    fn both(&mut self, b: Option<&Item>, m: &Item, t: &Item) {
        self.comments(b, m, t);
        if m.whole == t.whole || b.is_some_and(|b| b.whole == t.whole) {
            return;
        }
        // Two things of one name that nobody had before are two things: one of both would be what nobody wrote.
        if b.is_none() && m.named {
            let conflict = self.conflict(None, Some(m), Some(t));
            self.tell(Some(m), conflict);
            return;
        }
        let heads = (b.map(|b| b.head.as_str()), m.head.as_str(), t.head.as_str());
        match heads {
            (Some(b), m, t) if t == b || m == t => {}
            (None, m, t) if m == t => {}
            (Some(was), mine, _) if mine == was => {
                let text = self.theirs.slice(t.start, t.head_end).to_owned();
                self.edit(m.start, m.head_end, text);
            }
            _ => {
                let head =
                    |side: &Outline<'_>, i: &Item| crate::compare::said::one_line(side.slice(i.start, i.head_end));
                let conflict = Conflict {
                    about: m.about.clone(),
                    base: b.map(|b| head(self.base, b)),
                    mine: Some(head(self.mine, m)),
                    theirs: Some(head(self.theirs, t)),
                };
                self.tell(Some(m), conflict);
            }
        }
        self.inner(b, m, t);
    }

    /// The comments above a statement, and behind it on its line.
    fn comments(&mut self, b: Option<&Item>, m: &Item, t: &Item) {
        let lead = |side: &Outline<'w>, i: &Item| side.slice(i.lead, side.line_start(i.start)).to_owned();
        let (was, mine, theirs) = (b.map(|b| lead(self.base, b)), lead(self.mine, m), lead(self.theirs, t));
        if was.as_deref() != Some(&*theirs) && mine != theirs {
            let at = self.mine.line_start(m.start);
            match was {
                Some(was) if was == mine => self.edit(m.lead, at, theirs),
                // Both wrote: both are kept.
                _ => self.edit(at, at, theirs),
            }
        }
        let (was, mine, theirs) = (b.map(|b| self.base.trail(b.end)), self.mine.trail(m.end), self.theirs.trail(t.end));
        if was != Some(theirs) && mine != theirs && was.unwrap_or("") == mine {
            let text = theirs.to_owned();
            self.edit(m.end, m.end + mine.len(), text);
        }
    }
}
