//! Merging one statement, and the list in its block.

use super::align::Element;
use super::comments::{commented, comments_in, comments_of, merge_lines, wanted};
use super::head;
use super::lists::{self, Verbs, listed};
use super::outline::{Block, List, Piece, Three};
use super::side::Conflict;
use super::weave::{Step, Triple, weave};
use super::write::{Layout, Put, Writer};
use crate::syntax::edit::CONFLICT;
use crate::syntax::one_line::one_line;

/// The work on one file.
#[derive(Default)]
pub(super) struct Join {
    conflicts: Vec<Conflict>,
    /// What is to stand above the statement at the top that is worked on.
    notes: Vec<String>,
    /// What that statement is called.
    about: String,
    /// Conflicts that are told where their statement stands.
    known: Vec<Conflict>,
}

fn elements<'p>(list: &'p List<'_>, keys: &'p [String]) -> Vec<Element<'p>> {
    let pieces = list.pieces.iter().zip(keys);
    pieces.map(|(p, key)| Element { key, value: &p.value, note: p.is_note() }).collect()
}

impl Join {
    pub(super) fn new(known: Vec<Conflict>) -> Join {
        Join { known, ..Join::default() }
    }

    /// What both sides changed differently.
    pub(super) fn all_conflicts(self) -> Vec<Conflict> {
        self.conflicts.into_iter().chain(self.known).collect()
    }

    /// The merged inside of a block, or of a file.
    pub(super) fn list(&mut self, b: &List<'_>, m: &List<'_>, t: &List<'_>) -> String {
        if m.raw == t.raw || t.raw == b.raw {
            return m.raw.to_owned();
        }
        if m.raw == b.raw {
            return t.raw.to_owned();
        }
        // Layout is not meaning: it is theirs where they alone laid it out anew.
        let frame = if (m.inline(), m.open, m.close) == (b.inline(), b.open, b.close) { t } else { m };
        let layout = Layout::of(frame);
        let open = three(b.open, m.open, t.open, frame.open);
        let mut writer = Writer::new(open, layout);
        for side in [m.open, t.open].map(str::trim).into_iter().filter(|o| !b.open.contains(*o) && !open.contains(*o)) {
            self.notes.push(side.to_owned());
        }
        let keys = lists::keys(b, m, t);
        let (verbs, clashes) = lists::verbs(b, m, t);
        for [was, mine, theirs] in clashes {
            self.conflict(was.as_deref(), mine.as_deref(), theirs.as_deref());
        }
        let [bk, mk, tk] = &keys;
        let steps = weave(&elements(b, bk), &elements(m, mk), &elements(t, tk), m.ordered);
        for step in steps {
            match step {
                Step::One(Triple { base, mine, theirs }) => {
                    let three = Three {
                        base: base.and_then(|i| b.pieces.get(i)),
                        mine: mine.and_then(|i| m.pieces.get(i)),
                        theirs: theirs.and_then(|i| t.pieces.get(i)),
                    };
                    for mut put in self.piece(three, &verbs, layout, [m.inline(), t.inline()], m.top) {
                        if m.top && !self.notes.is_empty() && !put.body.is_empty() {
                            self.above(&mut put, layout);
                        }
                        writer.put(&put);
                    }
                    if m.top {
                        for note in std::mem::take(&mut self.notes) {
                            writer.put(&Put::note(&note, layout));
                        }
                    }
                }
                Step::Clash { mine, theirs } => self.clash((m, mine), (t, theirs)),
            }
        }
        let close = three(b.close, m.close, t.close, frame.close);
        writer.close(close, !m.top)
    }

    /// Puts the notes of a conflict right above a statement.
    fn above(&mut self, put: &mut Put, layout: Layout<'_>) {
        let mut lead: Vec<String> =
            put.before.lines().map(str::trim).filter(|l| l.starts_with('#')).map(str::to_owned).collect();
        for note in std::mem::take(&mut self.notes) {
            if !lead.contains(&note) {
                lead.push(note);
            }
        }
        let trail = put.after.find('#').and_then(|at| put.after.get(at..)).unwrap_or("").trim_end().to_owned();
        put.comment(&lead, &trail, layout);
    }

    /// Notes a conflict, and what a comment is to say of it.
    fn tell(&mut self, conflict: Conflict) {
        let says = match &conflict.theirs {
            Some(theirs) => format!("the other side says `{theirs}`"),
            None => format!("the other side took out `{}`", conflict.base.as_deref().unwrap_or("")),
        };
        self.notes.push(format!("{CONFLICT}{}: {says}", conflict.about));
        self.conflicts.push(conflict);
    }

    /// Both sides changed one statement, and not alike.
    fn conflict(&mut self, base: Option<&str>, mine: Option<&str>, theirs: Option<&str>) {
        let line = |text: Option<&str>| text.map(one_line);
        let about = self.about.clone();
        self.tell(Conflict { about, base: line(base), mine: line(mine), theirs: line(theirs) });
    }

    /// Both sides put something into one place of a song or a set, or moved one thing to two places.
    fn clash(&mut self, (m, mine): (&List<'_>, Vec<usize>), (t, theirs): (&List<'_>, Vec<usize>)) {
        let says = |list: &List<'_>, picked: &[usize]| {
            let all = picked.is_empty();
            let pieces = list.pieces.iter().enumerate().filter(|(at, p)| !p.is_note() && (all || picked.contains(at)));
            pieces.map(|(_, p)| one_line(p.body)).collect::<Vec<_>>().join("; ")
        };
        let (mine, theirs) = (says(m, &mine), says(t, &theirs));
        let about = self.about.clone();
        self.tell(Conflict { about, base: None, mine: Some(mine), theirs: Some(theirs) });
    }

    /// A statement: nothing when it is gone, and its comments where they are all that is left.
    fn piece(&mut self, p: Three<'_, '_>, verbs: &Verbs, layout: Layout<'_>, inline: [bool; 2], top: bool) -> Vec<Put> {
        let Some(own) = p.mine.or(p.theirs) else { return Vec::new() };
        if top {
            self.about.clone_from(&own.about);
            if let Some(at) = self.known.iter().position(|c| c.about == own.about) {
                let conflict = self.known.remove(at);
                self.tell(conflict);
            }
        }
        if own.is_note() {
            let gone = p.base.is_some() && (p.mine.is_none() || p.theirs.is_none());
            return if gone { Vec::new() } else { vec![Put::as_written(own)] };
        }
        let body = if own.members.is_empty() { self.body(p, top) } else { listed(p, verbs) };
        let Some(body) = body else {
            // What a side wrote of a statement that the other side took out.
            let all = |p: Option<&Piece<'_>>| p.map_or(Vec::new(), comments_of);
            let (was, mine, theirs) = (all(p.base), all(p.mine), all(p.theirs));
            let left = [&mine, &theirs].into_iter().flatten().filter(|c| !was.contains(c));
            return left.map(|c| Put::note(c, layout)).collect();
        };
        let mut put = Put { body, ..Put::as_written(own) };
        let mut source = own;
        let (mut lead, mut trail) = commented(own);
        let mut touched = false;
        if let (Some(m), Some(t)) = (p.mine, p.theirs) {
            let before = p.base.map(|b| (b.before, b.after));
            match before {
                Some(b) if b == (m.before, m.after) => {
                    (put.before, put.after) = (t.before.to_owned(), t.after.to_owned());
                    source = t;
                    (lead, trail) = commented(t);
                }
                Some(b) if b == (t.before, t.after) => {}
                _ => {
                    let (was, other) = (p.base.map(commented).unwrap_or_default(), commented(t));
                    let mut merged = (merge_lines(&was.0, &lead, &other.0), trail.clone());
                    if trail == was.1 {
                        merged.1.clone_from(&other.1);
                        if !other.1.is_empty() {
                            let end = if put.after.ends_with('\n') { "\n" } else { "" };
                            put.after = t.after.trim_end().to_owned() + end;
                        }
                    } else if other.1 != was.1 && other.1 != trail && !other.1.is_empty() {
                        merged.0.push(other.1.clone());
                    }
                    touched = merged.0 != lead || merged.1 != trail;
                    (lead, trail) = merged;
                }
            }
        }
        if top || own.block.is_none() {
            touched |= kept(p, &put.body, &mut lead, &trail);
        }
        let [mine, theirs] = inline;
        let foreign = layout.inline != if p.mine.is_some_and(|m| std::ptr::eq(m, source)) { mine } else { theirs };
        // What only the other side has may share a line there with what does not come in.
        let shares = p.mine.is_none() && !layout.inline && !(put.after.ends_with('\n') && source.line);
        if foreign || shares {
            put.fit(&lead, &trail, layout);
        } else if touched {
            put.comment(&lead, &trail, layout);
        }
        vec![put]
    }

    fn body(&mut self, p: Three<'_, '_>, top: bool) -> Option<String> {
        let (m, t) = match (p.base, p.mine, p.theirs) {
            (_, Some(m), Some(t)) => (m, t),
            (None, Some(one), None) | (None, None, Some(one)) => return Some(one.body.to_owned()),
            (Some(b), Some(m), None) => {
                if b.value == m.value {
                    return None;
                }
                self.conflict(Some(b.body), Some(m.body), None);
                return Some(m.body.to_owned());
            }
            (Some(b), None, Some(t)) => {
                if b.value != t.value {
                    self.conflict(Some(b.body), None, Some(t.body));
                }
                return None;
            }
            _ => return None,
        };
        let was = p.base.map(|b| b.body);
        if m.body == t.body || was == Some(t.body) {
            return Some(m.body.to_owned());
        }
        if was == Some(m.body) {
            return Some(t.body.to_owned());
        }
        // Two things of one name that nobody had before are two things: one of both would be what nobody wrote.
        if p.base.is_none() && top && m.named && m.value != t.value {
            self.conflict(None, Some(m.body), Some(t.body));
            return Some(m.body.to_owned());
        }
        if m.block.is_some() || t.block.is_some() {
            return Some(self.block(p.base, m, t));
        }
        let value = p.base.map(|b| b.value.as_str());
        if value == Some(m.value.as_str()) && m.value != t.value {
            return Some(t.body.to_owned());
        }
        if value != Some(t.value.as_str()) && m.value != t.value {
            self.conflict(was, Some(m.body), Some(t.body));
        }
        Some(m.body.to_owned())
    }

    fn block(&mut self, b: Option<&Piece<'_>>, m: &Piece<'_>, t: &Piece<'_>) -> String {
        let empty = List::default();
        let list = |p: Option<&'_ Piece<'_>>| p.and_then(|p| p.block.as_ref()).is_some();
        let (base, mine, theirs) = (b.and_then(|b| b.block.as_ref()), m.block.as_ref(), t.block.as_ref());
        let head = head::merge(b, m, t, &mut |[was, mine, theirs]| self.conflict(was, mine, theirs));
        fn inside<'a, 's: 'a>(of: Option<&'a Block<'s>>, empty: &'a List<'s>) -> &'a List<'s> {
            of.map_or(empty, |b| &b.list)
        }
        let inner = match (mine, theirs) {
            // One side took the whole block away, or never had one.
            (None, Some(t)) if !list(b) => return format!("{} {{{}}}{}", head.trim_end(), t.list.raw, t.rest),
            (Some(m), None) if !list(b) => return format!("{} {{{}}}{}", head.trim_end(), m.list.raw, m.rest),
            _ => {
                let frame = List { close: " ", ..List::default() };
                let t_list = theirs.map_or(&frame, |t| &t.list);
                match mine {
                    Some(m) => self.list(inside(base, &empty), &m.list, t_list),
                    None => self.list(inside(base, &empty), &frame, t_list),
                }
            }
        };
        let rest = |of: Option<&Block<'_>>| of.map_or(String::new(), |b| b.rest.to_owned());
        let (was, mine_rest, theirs_rest) = (rest(base), rest(mine), rest(theirs));
        if mine_rest != theirs_rest && mine_rest != was && theirs_rest != was {
            self.conflict(Some(&was), Some(&mine_rest), Some(&theirs_rest));
        }
        let rest = if mine_rest == was { theirs_rest } else { mine_rest };
        if inner.trim().is_empty() && (mine.is_none() || theirs.is_none()) {
            return head.trim_end().to_owned() + &rest;
        }
        let gap = if head.ends_with(char::is_whitespace) || head.ends_with('\n') { "" } else { " " };
        format!("{head}{gap}{{{inner}}}{rest}")
    }
}

/// Puts comments that went with the words of one side above the statement; true when there are some.
fn kept(p: Three<'_, '_>, body: &str, lead: &mut Vec<String>, trail: &str) -> bool {
    let [was, mine, theirs] = [p.base, p.mine, p.theirs].map(|p| p.map_or("", |p| p.body));
    if mine == theirs || ![was, mine, theirs].into_iter().any(|b| b.contains('#')) {
        return false;
    }
    let all = |p: Option<&Piece<'_>>| p.map_or(Vec::new(), comments_of);
    let mut now = comments_in(body);
    now.extend(lead.iter().cloned());
    now.push(trail.to_owned());
    let wanted = wanted(&all(p.base), &all(p.mine), &all(p.theirs), &now);
    let some = !wanted.is_empty();
    lead.extend(wanted);
    some
}

/// What one side changed of three; where both did, `frame`.
fn three<'s>(base: &str, mine: &'s str, theirs: &'s str, frame: &'s str) -> &'s str {
    match (mine == base, theirs == base) {
        (true, _) => theirs,
        (_, true) => mine,
        _ => frame,
    }
}
