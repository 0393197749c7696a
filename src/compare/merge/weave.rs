//! A three-way merge of lists: what stands in the result, and in which order.
//!
//! Both sides are held against the base. What a side put in, or moved, stands behind what it follows there; what a
//! side took out goes. Where the order counts (the parts of a song, the lines of a set), two sides that put
//! different things into one place clash, for nobody said which comes first; elsewhere mine stands first.

use std::collections::HashMap;

use super::align::{Aligned, Element, align};

/// The same statement in the base and on both sides.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub(super) struct Triple {
    pub base: Option<usize>,
    pub mine: Option<usize>,
    pub theirs: Option<usize>,
}

/// One step of the result.
#[derive(PartialEq, Eq, Debug)]
pub(super) enum Step {
    /// A statement, if it is not gone.
    One(Triple),
    /// Both sides put something into one place: mine was given already, these stand there on the other side. Empty when
    /// one statement was moved to two places.
    Clash { mine: Vec<usize>, theirs: Vec<usize> },
}

/// What both sides put before one statement of the base.
#[derive(Default)]
struct Gap {
    mine: Vec<usize>,
    theirs: Vec<usize>,
    clash: bool,
    /// The other side's order holds all of mine.
    theirs_lead: bool,
}

struct Weave<'w> {
    base: &'w [Element<'w>],
    mine: &'w [Element<'w>],
    theirs: &'w [Element<'w>],
    m: Aligned,
    t: Aligned,
    gaps: Vec<Gap>,
    /// New on both sides, and the same: theirs of mine, mine of theirs.
    twin_of_mine: HashMap<usize, usize>,
    twin_of_theirs: HashMap<usize, usize>,
    /// Pieces of the base that stay in mine's place although the other side moved them.
    stay: Vec<bool>,
    steps: Vec<Step>,
}

/// Merges two lists that come from one.
pub(super) fn weave(base: &[Element<'_>], mine: &[Element<'_>], theirs: &[Element<'_>], ordered: bool) -> Vec<Step> {
    let (m, t) = (align(base, mine, ordered), align(base, theirs, ordered));
    let mut gaps: Vec<Gap> = (0..=base.len()).map(|_| Gap::default()).collect();
    fill(&m, &mut gaps, |gap| &mut gap.mine);
    fill(&t, &mut gaps, |gap| &mut gap.theirs);
    let moved = |side: &Aligned| side.from.iter().zip(&side.held).any(|(from, held)| from.is_some() && !held);
    let both_moved = ordered && moved(&m) && moved(&t);
    let mut weave = Weave {
        base,
        mine,
        theirs,
        m,
        t,
        gaps,
        twin_of_mine: HashMap::new(),
        twin_of_theirs: HashMap::new(),
        stay: vec![false; base.len()],
        steps: Vec::new(),
    };
    if ordered {
        weave.compare_gaps()
    } else {
        weave.twins()
    }
    weave.run(ordered);
    if both_moved && !weave.kept_orders() {
        // Mine stands in its own order, with what the other side says of each.
        let (m, t) = (align(base, mine, true), align(base, theirs, true));
        return weave.in_mine_order(&m, &t);
    }
    weave.steps
}

fn fill(side: &Aligned, gaps: &mut [Gap], of: impl Fn(&mut Gap) -> &mut Vec<usize>) {
    let mut at = 0;
    for (s, held) in side.held.iter().enumerate() {
        if *held {
            at = side.from.get(s).copied().flatten().map_or(at, |b| b + 1);
        } else if let Some(gap) = gaps.get_mut(at) {
            of(gap).push(s);
        }
    }
}

fn at(list: &[Option<usize>], index: usize) -> Option<usize> {
    list.get(index).copied().flatten()
}

impl Weave<'_> {
    /// True when what a side turned round stands so in the result.
    fn kept_orders(&self) -> bool {
        let mut place: Vec<Option<usize>> = vec![None; self.base.len()];
        for (number, step) in self.steps.iter().enumerate() {
            if let Step::One(Triple { base: Some(base), .. }) = step
                && let Some(slot) = place.get_mut(*base)
            {
                *slot = Some(number);
            }
        }
        let there = |b: usize| Some((at(&place, b)?, at(&self.m.to, b)?, at(&self.t.to, b)?));
        let all: Vec<(usize, usize, usize)> = (0..self.base.len()).filter_map(there).collect();
        // In a very long list neighbours must do.
        let far = if all.len() > 2000 { 1 } else { all.len() };
        all.iter()
            .enumerate()
            .all(|(n, a)| all.iter().skip(n + 1).take(far).all(|b| (a.0 > b.0) == (a.1 > b.1 || a.2 > b.2)))
    }

    /// Two orders that cannot both be kept: mine, then what only theirs has, and a clash.
    fn in_mine_order(&self, m: &Aligned, t: &Aligned) -> Vec<Step> {
        let one = |base, mine, theirs| Step::One(Triple { base, mine, theirs });
        let mut steps: Vec<Step> = Vec::new();
        for (j, base) in m.from.iter().enumerate() {
            steps.push(one(*base, Some(j), base.and_then(|b| at(&t.to, b))));
        }
        let gone = (0..self.base.len()).filter(|b| at(&m.to, *b).is_none());
        steps.extend(gone.filter_map(|b| Some(one(Some(b), None, Some(at(&t.to, b)?)))));
        let notes =
            t.from.iter().enumerate().filter(|(k, b)| b.is_none() && self.theirs.get(*k).is_some_and(|e| e.note));
        steps.extend(notes.map(|(k, _)| one(None, None, Some(k))));
        steps.push(Step::Clash { mine: Vec::new(), theirs: Vec::new() });
        steps
    }

    /// New on both sides under one name.
    fn twins(&mut self) {
        let new = self.mine.iter().enumerate().filter(|(s, _)| at(&self.m.from, *s).is_none());
        let new: HashMap<&str, usize> = new.map(|(s, e)| (e.key, s)).collect();
        for (s, element) in self.theirs.iter().enumerate() {
            if at(&self.t.from, s).is_none()
                && let Some(mine) = new.get(element.key)
            {
                self.twin_of_mine.insert(*mine, s);
                self.twin_of_theirs.insert(s, *mine);
            }
        }
    }

    fn same(&self, mine: usize, theirs: usize) -> bool {
        let from = at(&self.m.from, mine) == at(&self.t.from, theirs);
        let (Some(a), Some(b)) = (self.mine.get(mine), self.theirs.get(theirs)) else { return false };
        from && a.key == b.key && a.value == b.value
    }

    /// The pairs of the shorter list if it stands in the longer one in this order.
    fn inside(
        &self,
        short: &[usize],
        long: &[usize],
        same: impl Fn(usize, usize) -> bool,
    ) -> Option<Vec<(usize, usize)>> {
        let mut rest = long.iter();
        short.iter().map(|s| rest.find(|l| same(*s, **l)).map(|l| (*s, *l))).collect()
    }

    fn compare_gaps(&mut self) {
        for number in 0..self.gaps.len() {
            let Some(gap) = self.gaps.get(number) else { continue };
            let told = |of: &[Element<'_>], list: &[usize]| {
                list.iter().copied().filter(|s| of.get(*s).is_some_and(|e| !e.note)).collect::<Vec<_>>()
            };
            let (mine, theirs) = (told(self.mine, &gap.mine), told(self.theirs, &gap.theirs));
            if mine.is_empty() || theirs.is_empty() {
                continue;
            }
            let (pairs, lead) = match self.inside(&theirs, &mine, |t, m| self.same(m, t)) {
                Some(pairs) => (pairs.into_iter().map(|(t, m)| (m, t)).collect(), false),
                None => match self.inside(&mine, &theirs, |m, t| self.same(m, t)) {
                    Some(pairs) => (pairs, true),
                    None => (Vec::new(), false),
                },
            };
            let clash = pairs.is_empty();
            if clash {
                for base in theirs.iter().filter_map(|t| at(&self.t.from, *t)) {
                    if let Some(stay) = self.stay.get_mut(base) {
                        *stay = true;
                    }
                }
            }
            for (m, t) in pairs {
                self.twin_of_mine.insert(m, t);
                self.twin_of_theirs.insert(t, m);
            }
            if let Some(gap) = self.gaps.get_mut(number) {
                (gap.clash, gap.theirs_lead) = (clash, lead);
            }
        }
    }

    fn one(&mut self, base: Option<usize>, mine: Option<usize>, theirs: Option<usize>) {
        self.steps.push(Step::One(Triple { base, mine, theirs }));
    }

    fn run(&mut self, ordered: bool) {
        for number in 0..=self.base.len() {
            let gap = self.gaps.get_mut(number).map(std::mem::take).unwrap_or_default();
            if gap.theirs_lead {
                self.theirs_put(&gap);
                self.mine_put(&gap, ordered);
            } else {
                self.mine_put(&gap, ordered);
                self.theirs_put(&gap);
            }
            if gap.clash {
                let told = |list: &[usize], of: &[Element<'_>]| {
                    list.iter().copied().filter(|s| of.get(*s).is_some_and(|e| !e.note)).collect()
                };
                let (mine, theirs) = (told(&gap.mine, self.mine), told(&gap.theirs, self.theirs));
                self.steps.push(Step::Clash { mine, theirs });
            }
            if number < self.base.len() {
                self.slot(number);
            }
        }
    }

    fn mine_put(&mut self, gap: &Gap, ordered: bool) {
        for j in &gap.mine {
            if gap.theirs_lead && self.twin_of_mine.contains_key(j) {
                continue;
            }
            let twin = self.twin_of_mine.get(j).copied();
            match at(&self.m.from, *j) {
                Some(base) => {
                    let theirs = at(&self.t.to, base);
                    self.one(Some(base), Some(*j), theirs);
                    let moved = theirs.is_some_and(|k| self.t.held.get(k) == Some(&false));
                    if ordered && moved && twin != theirs && self.stay.get(base) == Some(&false) {
                        self.steps.push(Step::Clash { mine: Vec::new(), theirs: Vec::new() });
                    }
                }
                None => self.one(None, Some(*j), twin),
            }
        }
    }

    fn theirs_put(&mut self, gap: &Gap) {
        for k in &gap.theirs {
            let twin = self.twin_of_theirs.get(k).copied().filter(|_| gap.theirs_lead);
            let note = self.theirs.get(*k).filter(|e| e.note);
            let said = |j: &usize| note.is_some_and(|n| self.mine.get(*j).is_some_and(|e| e.note && e.key == n.key));
            if gap.mine.iter().any(said) {
                continue;
            }
            match at(&self.t.from, *k) {
                Some(base) if self.stay.get(base) == Some(&true) => {}
                Some(base) => {
                    let mine = at(&self.m.to, base);
                    let moved = mine.is_some_and(|j| self.m.held.get(j) == Some(&false));
                    if !moved || twin.is_some() {
                        self.one(Some(base), mine, Some(*k));
                    }
                }
                None if gap.clash && note.is_none() => {}
                None if twin.is_none() && self.twin_of_theirs.contains_key(k) => {}
                None => self.one(None, twin, Some(*k)),
            }
        }
    }

    /// A statement that stands where it stood.
    fn slot(&mut self, base: usize) {
        let (mine, theirs) = (at(&self.m.to, base), at(&self.t.to, base));
        let stay = self.stay.get(base) == Some(&true);
        let there = |side: &Aligned, s: Option<usize>| s.is_some_and(|s| side.held.get(s) == Some(&true));
        match (mine, theirs) {
            (None, None) => {}
            (Some(_), None) if there(&self.m, mine) => self.one(Some(base), mine, None),
            (Some(_), Some(_)) if there(&self.m, mine) && (stay || there(&self.t, theirs)) => {
                self.one(Some(base), mine, theirs);
            }
            (None, Some(_)) if stay || there(&self.t, theirs) => self.one(Some(base), None, theirs),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn merged(base: &str, mine: &str, theirs: &str) -> String {
        let list = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        let (b, m, t) = (list(base), list(mine), list(theirs));
        fn elements(list: &[String]) -> Vec<Element<'_>> {
            list.iter().map(|w| Element { key: w, value: w, note: false }).collect()
        }
        let steps = weave(&elements(&b), &elements(&m), &elements(&t), true);
        let mut out = Vec::new();
        for step in steps {
            match step {
                Step::One(Triple { base: Some(_), mine, theirs }) if mine.is_none() || theirs.is_none() => {}
                Step::One(Triple { mine: Some(j), .. }) => out.push(m[j].clone()),
                Step::One(Triple { theirs: Some(k), .. }) => out.push(t[k].clone()),
                Step::One(_) => {}
                Step::Clash { .. } => out.push("!".to_owned()),
            }
        }
        out.join(" ")
    }

    #[test]
    fn lists_with_equal_names() {
        let cases = [
            ("bed solo hush lift", "bed lift solo hush", "bed solo hush lift solo", "bed lift solo hush solo"),
            ("a b a b", "a b a b a", "a a b", "a a b a"),
            ("a b c", "c a b", "a b c d", "c a b d"),
            ("a b c", "a c", "a b c c", "a c c"),
            ("a b", "a b c", "a b c", "a b c"),
            ("a b", "a b c d", "a b d", "a b c d"),
            ("a b", "a b c", "a b x c y", "a b x c y"),
            ("a b", "a b c", "a b d", "a b c !"),
            ("a b c", "b a c", "a c b", "b a c !"),
            ("a b c d", "b a c d", "a b d c", "b a d c"),
            ("a b c d", "d a b c", "a d b c", "d ! a b c"),
            ("a", "", "a a", "a"),
        ];
        for (base, mine, theirs, result) in cases {
            assert_eq!(merged(base, mine, theirs), result, "{base} / {mine} / {theirs}");
        }
    }
}
