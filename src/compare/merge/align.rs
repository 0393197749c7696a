//! Which piece of the base is which piece of a side, and which of them kept their order.

use std::collections::HashMap;
use std::collections::VecDeque;

/// What is aligned: what it is about, and what it says of it.
pub(super) struct Element<'e> {
    pub key: &'e str,
    pub value: &'e str,
    /// A comment: its place is no part of what is said.
    pub note: bool,
}

/// The base and a side.
pub(super) struct Aligned {
    /// For each piece of the base, the side's.
    pub to: Vec<Option<usize>>,
    /// For each piece of the side, the base's.
    pub from: Vec<Option<usize>>,
    /// The side's pieces that stand in the base's order; the others were moved, or are new.
    pub held: Vec<bool>,
}

/// Longer lists are not held against each other in full.
const MOST: usize = 4_000_000;

/// Aligns a side with the base. Where the order counts and names repeat, as sequences; else by name.
pub(super) fn align(base: &[Element<'_>], side: &[Element<'_>], ordered: bool) -> Aligned {
    let mut out = Aligned { to: vec![None; base.len()], from: vec![None; side.len()], held: vec![false; side.len()] };
    if ordered && base.len() * side.len() <= MOST {
        for (b, s) in sequence(base, side) {
            out.pair(b, s);
            if let Some(held) = out.held.get_mut(s) {
                *held = true;
            }
        }
        // What was moved: the same words first, then the same name.
        out.rest(base, side, |e| format!("{}\u{0}{}", e.key, e.value));
        out.rest(base, side, |e| e.key.to_owned());
        return out;
    }
    out.rest(base, side, |e| e.key.to_owned());
    out.edited_rules(base, side);
    let pairs: Vec<(usize, usize)> = out.from.iter().enumerate().filter_map(|(s, b)| Some(((*b)?, s))).collect();
    for s in rising(&pairs) {
        if let Some(held) = out.held.get_mut(s) {
            *held = true;
        }
    }
    out
}

impl Aligned {
    fn pair(&mut self, base: usize, side: usize) {
        if let (Some(to), Some(from)) = (self.to.get_mut(base), self.from.get_mut(side)) {
            (*to, *from) = (Some(side), Some(base));
        }
    }

    fn free(of: &[Option<usize>], at: usize) -> bool {
        of.get(at).is_some_and(Option::is_none)
    }

    /// Pairs what is left by a name, in order.
    fn rest(&mut self, base: &[Element<'_>], side: &[Element<'_>], name: impl Fn(&Element<'_>) -> String) {
        let mut left: HashMap<String, VecDeque<usize>> = HashMap::new();
        for (s, element) in side.iter().enumerate().filter(|(s, _)| Self::free(&self.from, *s)) {
            left.entry(name(element)).or_default().push_back(s);
        }
        for (b, element) in base.iter().enumerate() {
            if Self::free(&self.to, b)
                && let Some(s) = left.get_mut(&name(element)).and_then(VecDeque::pop_front)
            {
                self.pair(b, s);
            }
        }
    }

    /// A rule without a title is known by its words alone: one that stands where one went is the same, edited.
    fn edited_rules(&mut self, base: &[Element<'_>], side: &[Element<'_>]) {
        let rule = |of: &[Element<'_>], at: usize| of.get(at).is_some_and(|e| e.value.starts_with("(rule "));
        for b in 0..base.len() {
            if !Self::free(&self.to, b) || !rule(base, b) {
                continue;
            }
            let s = match b.checked_sub(1) {
                Some(before) => self.to.get(before).copied().flatten().map(|s| s + 1),
                None => Some(0),
            };
            if let Some(s) = s.filter(|s| Self::free(&self.from, *s) && rule(side, *s)) {
                self.pair(b, s);
            }
        }
    }
}

/// The longest common sequence of names; of several, the one with the most equal statements.
fn sequence(base: &[Element<'_>], side: &[Element<'_>]) -> Vec<(usize, usize)> {
    let width = side.len() + 1;
    let weight = |b: &Element<'_>, s: &Element<'_>| match (b.key == s.key, b.value == s.value) {
        (true, true) => 3,
        (true, false) => 2,
        _ => 0u32,
    };
    let mut best = vec![0u32; (base.len() + 1) * width];
    let at = |best: &[u32], b: usize, s: usize| best.get(b * width + s).copied().unwrap_or(0);
    for (b, x) in base.iter().enumerate().rev() {
        for (s, y) in side.iter().enumerate().rev() {
            let skip = at(&best, b + 1, s).max(at(&best, b, s + 1));
            let take = weight(x, y);
            let both = if take > 0 { take + at(&best, b + 1, s + 1) } else { 0 };
            if let Some(cell) = best.get_mut(b * width + s) {
                *cell = skip.max(both);
            }
        }
    }
    let (mut b, mut s, mut out) = (0, 0, Vec::new());
    while let (Some(x), Some(y)) = (base.get(b), side.get(s)) {
        let take = weight(x, y);
        if take > 0 && at(&best, b, s) == take + at(&best, b + 1, s + 1) {
            out.push((b, s));
            (b, s) = (b + 1, s + 1);
        } else if at(&best, b + 1, s) >= at(&best, b, s + 1) {
            b += 1;
        } else {
            s += 1;
        }
    }
    out
}

/// The side's places of the longest stretch of pairs whose base rises with the side.
fn rising(pairs: &[(usize, usize)]) -> Vec<usize> {
    // `ends` holds, for each length, the pair with the lowest base that ends such a stretch.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; pairs.len()];
    let base = |at: usize| pairs.get(at).map_or(0, |p| p.0);
    for at in 0..pairs.len() {
        let place = ends.partition_point(|e| base(*e) < base(at));
        if let Some(slot) = before.get_mut(at) {
            *slot = place.checked_sub(1).and_then(|p| ends.get(p)).copied();
        }
        match ends.get_mut(place) {
            Some(end) => *end = at,
            None => ends.push(at),
        }
    }
    let mut out = Vec::new();
    let mut at = ends.last().copied();
    while let Some(here) = at {
        out.extend(pairs.get(here).map(|p| p.1));
        at = before.get(here).copied().flatten();
    }
    out
}
