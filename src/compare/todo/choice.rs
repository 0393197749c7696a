//! From where each slot is filled at least cost, such that there is an order in which everything still stands when it is
//! read.
//!
//! A slot is filled by editing what it holds, or from what another slot holds before that is overwritten, or after. Who
//! reads the old preset of a slot comes before it is overwritten, who reads the new one comes after: so the choices have
//! an order unless some go round in a circle and all read old presets, or all new ones. Each slot's cheapest source is a
//! bound; of each such circle one choice must give way, the cheapest first.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Parts of the search before the best found so far is taken, and the gap told.
const MOST_PARTS: usize = 20_000;

/// What a slot may be filled from: another slot's preset, before it is overwritten or after.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct From {
    /// The other slot.
    pub slot: usize,
    /// As the list leaves it; else as it was before.
    pub new: bool,
}

/// What filling a slot takes: in place, or from others; those that take no less are never needed.
#[derive(Clone, PartialEq, Debug, Default)]
pub(super) struct Ways {
    /// In place.
    pub alone: u32,
    /// From others, the cheapest first.
    pub others: Vec<(u32, From)>,
}

/// For each slot a source, None for in place; and a number that no choice undercuts.
pub(super) fn least(ways: &[Ways]) -> (Vec<Option<From>>, u32) {
    let first = Part::of(ways, Vec::new(), 0);
    let mut best = first.repaired(ways);
    let mut waiting = BinaryHeap::from([Reverse(first)]);
    let mut number = 0;
    while let Some(Reverse(part)) = waiting.pop() {
        let Some(circle) = circles(&part.sources()).into_iter().next() else { return (part.sources(), part.bound) };
        if part.bound >= best.0 {
            break;
        }
        if number >= MOST_PARTS {
            return (best.1, part.bound);
        }
        // One of the circle gives way; those before it in the list keep to what they have.
        for (at, slot) in circle.iter().enumerate().filter(|(_, slot)| !part.keeps(**slot)) {
            let mut said = part.said.clone();
            let now = |v: usize| part.at.get(v).copied().unwrap_or(0);
            said.extend(circle.iter().take(at).map(|v| (*v, now(*v), true)));
            said.push((*slot, now(*slot), false));
            number += 1;
            let next = Part::of(ways, said, number);
            let repaired = next.repaired(ways);
            if repaired.0 < best.0 {
                best = repaired;
            }
            if next.bound < best.0 || circles(&next.sources()).is_empty() && next.bound <= best.0 {
                waiting.push(Reverse(next));
            }
        }
    }
    (best.1, best.0)
}

/// A part of all choices.
#[derive(Clone, Debug)]
struct Part {
    bound: u32,
    number: usize,
    /// For slots: a way that is kept to, or one that is not taken.
    said: Vec<(usize, usize, bool)>,
    /// The cheapest way of each slot that is left: its place among the others, or past them for in place.
    at: Vec<usize>,
    /// The source behind each.
    from: Vec<Option<From>>,
}

impl PartialEq for Part {
    fn eq(&self, other: &Part) -> bool {
        self.number == other.number
    }
}
impl Eq for Part {}
impl PartialOrd for Part {
    fn partial_cmp(&self, other: &Part) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Part {
    /// Of equal bounds the part that says most is nearest to its end.
    fn cmp(&self, other: &Part) -> std::cmp::Ordering {
        (self.bound, Reverse(self.said.len()), self.number).cmp(&(other.bound, Reverse(other.said.len()), other.number))
    }
}

impl Part {
    fn of(ways: &[Ways], said: Vec<(usize, usize, bool)>, number: usize) -> Part {
        let mut part = Part { bound: 0, number, said, at: Vec::new(), from: Vec::new() };
        part.at = (0..ways.len()).map(|slot| part.cheapest(ways, slot, None)).collect();
        part.from = part.at.iter().zip(ways).map(|(at, ways)| ways.others.get(*at).map(|(_, from)| *from)).collect();
        part.bound = (0..ways.len()).map(|slot| part.cost(ways, slot, part.at.get(slot).copied())).sum();
        // Circles share no slot, and one slot of each must take something else.
        for circle in circles(&part.from) {
            let next = |slot: &usize| {
                let at = part.at.get(*slot).copied();
                let other = part.cheapest(ways, *slot, at);
                part.cost(ways, *slot, Some(other)).saturating_sub(part.cost(ways, *slot, at))
            };
            let free = circle.iter().filter(|slot| !part.keeps(**slot));
            part.bound = part.bound.saturating_add(free.map(next).min().unwrap_or(u32::MAX));
        }
        part
    }

    /// True for a slot that keeps to what it has.
    fn keeps(&self, slot: usize) -> bool {
        self.said.iter().any(|(kept, _, keep)| *keep && *kept == slot)
    }

    /// The cheapest way left for a slot but one.
    fn cheapest(&self, ways: &[Ways], slot: usize, but: Option<usize>) -> usize {
        let said = || self.said.iter().filter(|(s, _, _)| *s == slot);
        if let Some((_, kept, _)) = said().find(|(_, _, keep)| *keep) {
            return *kept;
        }
        let others = ways.get(slot).map_or(0, |w| w.others.len());
        let barred = |at: &usize| said().any(|(_, barred, keep)| !keep && barred == at) || Some(*at) == but;
        (0..others).find(|at| !barred(at)).unwrap_or(others)
    }

    fn cost(&self, ways: &[Ways], slot: usize, at: Option<usize>) -> u32 {
        let Some(ways) = ways.get(slot) else { return 0 };
        at.and_then(|at| ways.others.get(at)).map_or(ways.alone, |(cost, _)| *cost)
    }

    fn sources(&self) -> Vec<Option<From>> {
        self.from.clone()
    }

    /// A choice that has an order, from one that may have none: of each circle the slot that loses least by it is edited
    /// in place. With what it takes.
    fn repaired(&self, ways: &[Ways]) -> (u32, Vec<Option<From>>) {
        let mut from = self.from.clone();
        for circle in circles(&self.from) {
            let loses = |slot: &&usize| {
                let alone = ways.get(**slot).map_or(0, |w| w.alone);
                alone.saturating_sub(self.cost(ways, **slot, self.at.get(**slot).copied()))
            };
            if let Some(slot) = circle.iter().min_by_key(loses).and_then(|slot| from.get_mut(*slot)) {
                *slot = None;
            }
        }
        let cost = |(slot, from): (usize, &Option<From>)| {
            let at = from.and_then(|_| self.at.get(slot).copied()).unwrap_or(usize::MAX);
            self.cost(ways, slot, Some(at))
        };
        (from.iter().enumerate().map(cost).sum(), from)
    }
}

/// The circles of choices that all read old presets, or all new ones: each as its slots.
fn circles(from: &[Option<From>]) -> Vec<Vec<usize>> {
    let next = |slot: usize| from.get(slot).copied().flatten().map(|f| f.slot);
    let mut seen = vec![0usize; from.len()];
    let mut out = Vec::new();
    for start in 0..from.len() {
        let mut at = Some(start);
        while let Some(slot) = at.filter(|slot| seen.get(*slot) == Some(&0)) {
            if let Some(mark) = seen.get_mut(slot) {
                *mark = start + 1;
            }
            at = next(slot);
        }
        let Some(first) = at.filter(|slot| seen.get(*slot) == Some(&(start + 1))) else { continue };
        let mut circle = vec![first];
        while let Some(slot) = circle.last().and_then(|last| next(*last)).filter(|slot| *slot != first) {
            circle.push(slot);
        }
        let new = |slot: &usize| from.get(*slot).copied().flatten().is_some_and(|f| f.new);
        if circle.iter().all(new) || !circle.iter().any(new) {
            circle.sort_unstable();
            out.push(circle);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worth(ways: &[Ways], from: &[Option<From>]) -> Option<u32> {
        let cost = |(v, from): (usize, &Option<From>)| match from {
            None => Some(ways[v].alone),
            Some(from) => ways[v].others.iter().find(|(_, f)| f == from).map(|(cost, _)| *cost),
        };
        from.iter().enumerate().map(cost).sum()
    }

    /// Every order of writing, tried.
    fn brute(ways: &[Ways], written: u32) -> u32 {
        let open: Vec<usize> = (0..ways.len()).filter(|v| written >> v & 1 == 0).collect();
        let next = |v: &usize| {
            let stands = |f: &From| (written >> f.slot & 1 == 1) == f.new;
            let others = ways[*v].others.iter().filter(|(_, f)| stands(f)).map(|(cost, _)| *cost);
            others.chain([ways[*v].alone]).min().unwrap() + brute(ways, written | 1 << v)
        };
        open.iter().map(next).min().unwrap_or(0)
    }

    #[test]
    fn least_is_what_trying_all_orders_finds() {
        let mut seed = 11u32;
        let mut next = |below: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % below
        };
        for _ in 0..2_000 {
            let count = 1 + next(6) as usize;
            let ways: Vec<Ways> = (0..count)
                .map(|v| {
                    let alone = 3 + next(12);
                    let mut others = Vec::new();
                    for slot in (0..count).filter(|u| *u != v) {
                        for new in [false, true] {
                            let cost = 1 + next(9);
                            others.extend((cost < alone && next(4) > 0).then_some((cost, From { slot, new })));
                        }
                    }
                    others.sort();
                    Ways { alone, others }
                })
                .collect();
            let (from, bound) = least(&ways);
            assert!(circles(&from).is_empty());
            assert_eq!(worth(&ways, &from), Some(bound), "{ways:?}");
            assert_eq!(bound, brute(&ways, 0), "{ways:?}");
        }
    }

    /// Many swaps side by side are found at once.
    #[test]
    fn swaps_side_by_side() {
        let pair = |v: usize| Ways { alone: 9, others: vec![(1, From { slot: v ^ 1, new: false })] };
        let ways: Vec<Ways> = (0..200).map(pair).collect();
        let (from, bound) = least(&ways);
        assert_eq!((bound, from.iter().filter(|f| f.is_none()).count()), (1_000, 100));
    }
}
