//! Merging the blocks of a statement that all sides have.

use std::collections::BTreeMap;

use super::outline::{Atom, Item, Line, Outline};
use super::{Conflict, Work};

type Atoms<'i> = BTreeMap<&'i str, (&'i Line, &'i Atom)>;

fn atoms(item: Option<&Item>) -> Atoms<'_> {
    let lines = item.into_iter().flat_map(|i| &i.lines);
    lines.flat_map(|line| line.atoms.iter().map(move |a| (a.key.as_str(), (line, a)))).collect()
}

/// The keys in their order.
fn keys(item: Option<&Item>) -> Vec<&str> {
    item.into_iter().flat_map(|i| &i.lines).flat_map(|l| &l.atoms).map(|a| a.key.as_str()).collect()
}

/// True when what stands in both stands in another order.
fn turned(a: &[&str], b: &[&str]) -> bool {
    let left = a.iter().filter(|k| b.contains(k));
    let right = b.iter().filter(|k| a.contains(k));
    !left.eq(right)
}

impl Work<'_> {
    pub(super) fn inner(&mut self, b: Option<&Item>, m: &Item, t: &Item) {
        if m.ordered && self.order(b, m, t) {
            return;
        }
        let (was, mine, theirs) = (atoms(b), atoms(Some(m)), atoms(Some(t)));
        let value = |atoms: &Atoms<'_>, key: &str| atoms.get(key).map(|(_, a)| a.value.clone());
        let mut gone: Vec<&str> = Vec::new();
        let mut fresh: Vec<&str> = Vec::new();
        let mut replaced: Vec<&str> = Vec::new();
        let all: std::collections::BTreeSet<&str> =
            was.keys().chain(mine.keys()).chain(theirs.keys()).copied().collect();
        for key in all {
            let (b, m_now, t_now) = (value(&was, key), value(&mine, key), value(&theirs, key));
            if m_now == t_now || t_now == b {
                continue;
            }
            if m_now != b {
                self.clash(m, key, [&was, &mine, &theirs]);
                continue;
            }
            let list = |atoms: &Atoms<'_>| atoms.get(key).is_some_and(|(line, _)| line.verb.is_some());
            match (m_now, t_now) {
                (Some(_), Some(_)) if !list(&mine) && !list(&theirs) => replaced.push(key),
                (m_now, t_now) => {
                    gone.extend(m_now.map(|_| key));
                    fresh.extend(t_now.map(|_| key));
                }
            }
        }
        for key in replaced {
            if let (Some((line, _)), Some((other, _))) = (mine.get(key), theirs.get(key)) {
                let text = self.theirs.slice(other.start, other.end).to_owned();
                self.edit(line.start, line.end, text);
            }
        }
        let mut dropped: Vec<usize> = Vec::new();
        for line in &m.lines {
            if self.shorten(m, line, &gone) {
                dropped.push(line.start);
            }
        }
        self.trails(b, m, t, &dropped);
        for (at, line) in t.lines.iter().enumerate() {
            let new: Vec<&Atom> = line.atoms.iter().filter(|a| fresh.contains(&a.key.as_str())).collect();
            if !new.is_empty() {
                self.put(m, t, at, &new, &dropped);
            }
        }
    }

    /// Both sides changed one cell, and not alike.
    fn clash(&mut self, m: &Item, key: &str, [was, mine, theirs]: [&Atoms<'_>; 3]) {
        let text = |side: &Outline<'_>, atoms: &Atoms<'_>| {
            let (line, atom) = atoms.get(key)?;
            Some(match line.verb {
                Some(verb) => format!("{verb} {}", atom.text),
                None => crate::compare::said::one_line(side.slice(line.start, line.end)),
            })
        };
        let conflict = Conflict {
            about: m.about.clone(),
            base: text(self.base, was),
            mine: text(self.mine, mine),
            theirs: text(self.theirs, theirs),
        };
        self.tell(Some(m), conflict);
    }

    /// Song parts and set lines: a changed order is taken whole, or clashes. True when nothing is left to do.
    fn order(&mut self, b: Option<&Item>, m: &Item, t: &Item) -> bool {
        let (was, mine, theirs) = (keys(b), keys(Some(m)), keys(Some(t)));
        if b.is_none() || !turned(&was, &theirs) || !turned(&mine, &theirs) {
            return false;
        }
        let lines = |i: &Item| i.lines.iter().flat_map(|l| &l.atoms).map(|a| a.value.clone()).collect::<Vec<_>>();
        let untouched = b.is_some_and(|b| lines(b) == lines(m));
        match (m.block, t.block) {
            (Some((from, to)), Some((start, end))) if untouched => {
                let text = self.theirs.slice(start, end).to_owned();
                self.edit(from, to, text);
            }
            _ => {
                let conflict = self.conflict(b, Some(m), Some(t));
                self.tell(Some(m), conflict);
            }
        }
        true
    }

    /// Takes members out of a line; the whole line when none is left, which is what it tells.
    fn shorten(&mut self, m: &Item, line: &Line, gone: &[&str]) -> bool {
        let stays: Vec<&str> =
            line.atoms.iter().filter(|a| !gone.contains(&a.key.as_str())).map(|a| a.text.as_str()).collect();
        if stays.len() == line.atoms.len() {
            return false;
        }
        if let (Some(verb), false) = (line.verb, stays.is_empty()) {
            self.edit(line.start, line.end, format!("{verb} {}", stays.join(", ")));
            return false;
        }
        let mine = self.mine;
        let end = mine.line_end(line.end);
        let rest = mine.slice(line.end, end).trim_start();
        if mine.opens_line(line.start) && (rest.is_empty() || rest.starts_with('#')) {
            self.edit(mine.line_start(line.start), (end + 1).min(mine.text.len()), "");
        } else {
            // With the sign that parts it from its neighbour.
            let limit = m.block.map_or(end, |(_, close)| close);
            let after = mine.slice(line.end, limit);
            let sign = after.trim_start_matches([' ', '\t']);
            let width = if sign.starts_with(';') { after.len() - sign.len() + 1 } else { 0 };
            let blank = mine.slice(line.end + width, limit).starts_with(' ');
            self.edit(line.start, line.end + width + usize::from(blank && width > 0), "");
        }
        true
    }

    /// Comments behind lines that all three have.
    fn trails(&mut self, b: Option<&Item>, m: &Item, t: &Item, dropped: &[usize]) {
        let same = |a: &Line, b: &Line| a.atoms.iter().map(|x| &x.key).eq(b.atoms.iter().map(|x| &x.key));
        for line in m.lines.iter().filter(|l| !dropped.contains(&l.start)) {
            let Some(theirs) = t.lines.iter().find(|l| same(l, line)) else { continue };
            let was = b.and_then(|b| b.lines.iter().find(|l| same(l, line)));
            let (now, then) = (self.theirs.trail(theirs.end), was.map_or("", |w| self.base.trail(w.end)));
            let own = self.mine.trail(line.end);
            if now != then && own == then && self.mine.line_end(line.end) <= m.end {
                let text = now.to_owned();
                self.edit(line.end, line.end + own.len(), text);
            }
        }
    }

    /// Puts new members of the other side's line behind the line that it follows there.
    fn put(&mut self, m: &Item, t: &Item, at: usize, new: &[&Atom], dropped: &[usize]) {
        let Some(line) = t.lines.get(at) else { return };
        let whole = new.len() == line.atoms.len();
        let text = match line.verb {
            Some(verb) if !whole => {
                format!("{verb} {}", new.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(", "))
            }
            _ => self.theirs.slice(line.start, line.end).to_owned(),
        };
        let trail = if whole && self.theirs.line_end(line.end) <= t.end { self.theirs.trail(line.end) } else { "" };
        let lead = self.above(t, line);
        let Some((open, close)) = m.block else {
            let text = format!(" {{\n{lead}  {text}{trail}\n}}");
            return self.edit(m.head_end, m.head_end, text);
        };
        let known = |l: &&Line| {
            l.atoms.iter().any(|a| {
                new.iter().all(|n| n.key != a.key) && m.lines.iter().any(|x| x.atoms.iter().any(|y| y.key == a.key))
            })
        };
        let before = t.lines.iter().take(at).rev().find(known);
        let holds = |l: &&Line, of: &Line| of.atoms.iter().any(|a| l.atoms.iter().any(|x| x.key == a.key));
        let anchor = before.and_then(|b| m.lines.iter().rev().find(|l| holds(l, b)));
        let mine = self.mine;
        let place = anchor.map_or(open, |l| l.end);
        let end = mine.line_end(place);
        let gone = anchor.is_some_and(|l| dropped.contains(&l.start));
        // The rest of the line is free: nothing else stands on it, and no statement runs on below it.
        let alone = !m.lines.iter().any(|l| l.start >= place && l.start < end);
        if end <= close && !gone && alone {
            let indent = m.lines.first().map_or("  ", |l| {
                let start = mine.line_start(l.start);
                if mine.opens_line(l.start) { mine.slice(start, l.start) } else { "  " }
            });
            let below = if at + 1 == t.lines.len() { self.below(m, t, line) } else { String::new() };
            self.edit(end, end, format!("\n{lead}{indent}{text}{trail}{below}"));
        } else if trail.is_empty() && lead.is_empty() {
            match anchor {
                Some(_) if !gone => self.edit(place, place, format!("; {text}")),
                _ => self.edit(open, open, format!(" {text};")),
            }
        } else {
            let place = if gone { open } else { place };
            self.edit(place, place, format!("\n{lead}  {text}{trail}\n"));
        }
    }

    /// The comment lines below the last line of the other side's block, unless one's own block ends with some too.
    fn below(&self, m: &Item, t: &Item, line: &Line) -> String {
        let (Some((open, own_close)), Some((_, close))) = (m.block, t.block) else { return String::new() };
        let last = m.lines.last().map_or(open, |l| l.end);
        let own = self.mine.line_end(last).min(own_close);
        let from = self.theirs.line_end(line.end).min(close);
        if self.mine.slice(own, own_close).contains('#') {
            return String::new();
        }
        let lines = self.theirs.slice(from, close).lines().filter(|l| l.trim_start().starts_with('#'));
        lines.fold(String::new(), |all, line| all + "\n" + line)
    }

    /// The comment lines right above a line of the other side's block.
    fn above(&self, t: &Item, line: &Line) -> String {
        let theirs = self.theirs;
        if !theirs.opens_line(line.start) {
            return String::new();
        }
        let mut from = theirs.line_start(line.start);
        let end = from;
        let floor = t.block.map_or(t.start, |(open, _)| open);
        while from > floor {
            let above = theirs.line_start(from - 1);
            if above < floor || !theirs.slice(above, from).trim_start().starts_with('#') {
                break;
            }
            from = above;
        }
        theirs.slice(from, end).to_owned()
    }
}
