//! Every sound stored once, and no slot to spare: the quadratic assignment problem (Koopmans and Beckmann 1957).
//!
//! Branch and bound. The bound of a part of all choices: what is fixed, and for each thing in each place at least what it
//! does to those already placed and the cheapest way its other changes could fall (Gilmore 1962, Lawler 1963); a cheapest
//! assignment of these, and its prices say at once which choices are not worth a look.

use crate::study::assign::{self, Assigned};

/// What follows what how often, and what that costs between which places.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    /// How often thing `j` comes after thing `i`.
    pub often: Vec<Vec<u64>>,
    /// What coming to place `q` from place `p` costs; there are as many places as things.
    pub far: Vec<Vec<u64>>,
    /// What thing `i` costs in place `p` whatever the others do.
    pub alone: Vec<Vec<u64>>,
}

/// What was found.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Found {
    /// For each thing: its place.
    pub place: Vec<usize>,
    /// What that costs.
    pub cost: u64,
    /// No choice costs less than this.
    pub bound: u64,
    /// How many parts were looked at.
    pub parts: u64,
}

impl Problem {
    /// What a choice of places costs.
    pub fn cost(&self, place: &[usize]) -> u64 {
        let alone = place.iter().enumerate().map(|(i, p)| get(&self.alone, i, *p));
        let pairs = place.iter().enumerate().flat_map(|(i, p)| {
            place.iter().enumerate().map(move |(j, q)| get(&self.often, i, j) * get(&self.far, *p, *q))
        });
        alone.sum::<u64>() + pairs.sum::<u64>()
    }

    /// The cheapest choice; after so many parts the best so far, with what it was proved that none undercuts.
    pub fn least(&self, most: u64) -> Found {
        let n = self.often.len();
        let mut best: Vec<usize> = (0..n).collect();
        let mut dice = 1u64;
        for round in 0..32 {
            let mut place: Vec<usize> = (0..n).collect();
            for at in (1..n).rev().filter(|_| round > 0) {
                dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                place.swap(at, (dice >> 33) as usize % (at + 1));
            }
            self.swapped(&mut place);
            if self.cost(&place) < self.cost(&best) {
                best = place;
            }
        }
        let cost = self.cost(&best);
        let mut search = Search { problem: self, twins: self.twins(), best, cost, parts: 0, most, open: u64::MAX };
        let mut part = Part { place: vec![None; n], linear: self.alone.clone(), fixed: 0 };
        if part.linear.len() != n {
            part.linear = vec![vec![0; n]; n];
        }
        search.go(part, 0);
        Found { bound: search.open.min(search.cost), place: search.best, cost: search.cost, parts: search.parts }
    }

    /// Swaps two while that costs less.
    fn swapped(&self, place: &mut [usize]) {
        let n = place.len();
        let mut now = self.cost(place);
        loop {
            let before = now;
            for i in 0..n {
                for j in 0..i {
                    place.swap(i, j);
                    let cost = self.cost(place);
                    if cost < now {
                        now = cost;
                    } else {
                        place.swap(i, j);
                    }
                }
            }
            if now == before {
                return;
            }
        }
    }

    /// For each place the first of those that stand as it does: some exchange of places that changes no cost leads there.
    fn twins(&self) -> Vec<usize> {
        let n = self.far.len();
        let mut first: Vec<usize> = (0..n).collect();
        for p in 0..n {
            let like = (0..p).find(|q| get1(&first, *q) == *q && self.turns(*q, p));
            if let (Some(q), Some(slot)) = (like, first.get_mut(p)) {
                *slot = q;
            }
        }
        first
    }

    /// Some exchange of places takes `p` to `q` and changes no cost.
    fn turns(&self, p: usize, q: usize) -> bool {
        let n = self.far.len();
        let mut image: Vec<usize> = vec![q];
        let order: Vec<usize> = std::iter::once(p).chain((0..n).filter(|o| *o != p)).collect();
        let fits = |image: &[usize], to: usize| {
            let Some(from) = order.get(image.len()) else { return false };
            !image.contains(&to)
                && get(&self.far, *from, *from) == get(&self.far, to, to)
                && self.alone.iter().all(|row| get1(row, *from) == get1(row, to))
                && order.iter().zip(image).all(|(o, i)| {
                    get(&self.far, *from, *o) == get(&self.far, to, *i)
                        && get(&self.far, *o, *from) == get(&self.far, *i, to)
                })
        };
        if !fits(&[], q) {
            return false;
        }
        let mut next = vec![0usize];
        let mut tries = 0;
        while image.len() < n && tries < 10_000 {
            tries += 1;
            let from = next.last().copied().unwrap_or(n);
            match (from..n).find(|to| fits(&image, *to)) {
                Some(to) => {
                    if let Some(last) = next.last_mut() {
                        *last = to + 1;
                    }
                    image.push(to);
                    next.push(0);
                }
                None => {
                    next.pop();
                    if next.is_empty() {
                        return false;
                    }
                    image.pop();
                }
            }
        }
        image.len() == n
    }
}

fn get(table: &[Vec<u64>], row: usize, column: usize) -> u64 {
    table.get(row).map_or(0, |row| get1(row, column))
}

fn get1<T: Copy + Default>(row: &[T], column: usize) -> T {
    row.get(column).copied().unwrap_or_default()
}

/// A part of all choices: some things have their places.
#[derive(Clone)]
struct Part {
    place: Vec<Option<usize>>,
    /// What each thing costs in each place, alone and beside those that have theirs.
    linear: Vec<Vec<u64>>,
    fixed: u64,
}

struct Search<'p> {
    problem: &'p Problem,
    twins: Vec<usize>,
    best: Vec<usize>,
    cost: u64,
    parts: u64,
    most: u64,
    /// The least bound of what was left unseen.
    open: u64,
}

impl Search<'_> {
    fn go(&mut self, part: Part, depth: usize) {
        self.parts += 1;
        let n = part.place.len();
        let things: Vec<usize> = (0..n).filter(|i| part.place.get(*i) == Some(&None)).collect();
        let mut taken = vec![false; n];
        for p in part.place.iter().flatten() {
            if let Some(flag) = taken.get_mut(*p) {
                *flag = true;
            }
        }
        let places: Vec<usize> = (0..n).filter(|p| !get1(&taken, *p)).collect();
        if things.len() <= 2 {
            self.last(&part, &things, &places);
            return;
        }
        let costs = self.costs(&part, &things, &places);
        let m = things.len();
        let at = |i: usize, p: usize| costs.get(i * m + p).copied().unwrap_or(0);
        let Assigned { column, up, down } = assign::least(m, m, at);
        let bound = part.fixed + column.iter().enumerate().map(|(i, p)| at(i, *p) as u64).sum::<u64>();
        if bound >= self.cost {
            return;
        }
        if self.parts >= self.most {
            self.open = self.open.min(bound);
            return;
        }
        let over = |i: usize, p: usize| (at(i, p) - get1(&up, i) - get1(&down, p)).max(0) as u64;
        // One thing tried in all places, or one place with all things: whichever leaves least to look at.
        let room = self.cost - bound;
        let worth = |over: u64| if over >= room { (0, 0) } else { (1, room - over) };
        let sum =
            |list: &mut dyn Iterator<Item = u64>| list.map(worth).fold((0u64, 0u64), |(a, b), (c, d)| (a + c, b + d));
        let by_thing = (0..m).map(|i| (sum(&mut (0..m).map(|p| over(i, p))), 0, i));
        let by_place = (0..m).filter(|_| depth > 0).map(|p| (sum(&mut (0..m).map(|i| over(i, p))), 1, p));
        let Some((_, side, line)) = by_thing.chain(by_place).min() else { return };
        let mut next: Vec<(u64, usize, usize)> =
            (0..m).map(|k| if side == 0 { (over(line, k), line, k) } else { (over(k, line), k, line) }).collect();
        next.sort_unstable();
        let mut seen = Vec::new();
        for (over, i, p) in next {
            let (Some(thing), Some(place)) = (things.get(i), places.get(p)) else { continue };
            if depth == 0 && side == 0 {
                let twin = get1(&self.twins, *place);
                if seen.contains(&twin) {
                    continue;
                }
                seen.push(twin);
            }
            if bound + over >= self.cost {
                break;
            }
            let child = self.put(&part, *thing, *place, &things, &places);
            self.go(child, depth + 1);
        }
    }

    /// The part in which a thing has a place.
    fn put(&self, part: &Part, thing: usize, place: usize, things: &[usize], places: &[usize]) -> Part {
        let mut child = part.clone();
        child.fixed += get(&part.linear, thing, place)
            + get(&self.problem.often, thing, thing) * get(&self.problem.far, place, place);
        if let Some(slot) = child.place.get_mut(thing) {
            *slot = Some(place);
        }
        for i in things.iter().filter(|i| **i != thing) {
            let (to, from) = (get(&self.problem.often, *i, thing), get(&self.problem.often, thing, *i));
            if to == 0 && from == 0 {
                continue;
            }
            let Some(row) = child.linear.get_mut(*i) else { continue };
            for p in places {
                if let Some(cell) = row.get_mut(*p) {
                    *cell += to * get(&self.problem.far, *p, place) + from * get(&self.problem.far, place, *p);
                }
            }
        }
        child
    }

    /// What each thing costs at least in each place, row by row.
    fn costs(&self, part: &Part, things: &[usize], places: &[usize]) -> Vec<i64> {
        // Many changes along short ways, few along long ones.
        let sorted = |table: &[Vec<u64>], all: &[usize], down: bool| -> Vec<Vec<u64>> {
            let row = |i: &usize| {
                let mut row: Vec<u64> = all.iter().filter(|j| *j != i).map(|j| get(table, *i, *j)).collect();
                row.sort_unstable();
                if down {
                    row.reverse();
                }
                row
            };
            all.iter().map(row).collect()
        };
        let often = sorted(&self.problem.often, things, true);
        let far = sorted(&self.problem.far, places, false);
        let mut out = Vec::with_capacity(things.len() * places.len());
        for (i, often) in things.iter().zip(&often) {
            for (p, far) in places.iter().zip(&far) {
                let own = get(&self.problem.often, *i, *i) * get(&self.problem.far, *p, *p);
                let others: u64 = often.iter().zip(far).map(|(o, f)| o * f).sum();
                out.push((get(&part.linear, *i, *p) + own + others) as i64);
            }
        }
        out
    }

    /// One or two things are left.
    fn last(&mut self, part: &Part, things: &[usize], places: &[usize]) {
        let mut places = places.to_vec();
        for _ in 0..2 {
            let mut whole: Vec<usize> = part.place.iter().map(|p| p.unwrap_or(0)).collect();
            for (i, p) in things.iter().zip(&places) {
                if let Some(slot) = whole.get_mut(*i) {
                    *slot = *p;
                }
            }
            let cost = self.problem.cost(&whole);
            if cost < self.cost {
                (self.cost, self.best) = (cost, whole);
            }
            places.reverse();
        }
    }
}
