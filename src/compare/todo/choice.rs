//! From where each slot is filled at least cost, such that there is an order in which everything still stands when it is
//! read.
//!
//! A slot is filled by editing what it holds, or from what another slot holds before that is overwritten, or after. Who
//! reads the old preset of a slot comes before it is overwritten, who reads the new one comes after: so the choices have
//! an order unless some go round in a circle and all read old presets, or all new ones. Each slot's cheapest source is a
//! bound; of each such circle one choice must give way, the cheapest first.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Steps of the search before the best found so far is taken, and the gap told: a part takes one for each slot and each
/// thing said of the slots.
const MOST_STEPS: usize = 1_000_000;

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
    let (mut number, mut steps) = (0, 0);
    while let Some(Reverse(part)) = waiting.pop() {
        let Some(circle) = circles(&part.sources()).into_iter().next() else { return (part.sources(), part.bound) };
        if part.bound >= best.0 {
            break;
        }
        if steps >= MOST_STEPS {
            return (best.1, part.bound);
        }
        // One of the circle gives way; those before it in the list keep to what they have.
        for (at, slot) in circle.iter().enumerate().filter(|(_, slot)| !part.keeps(**slot)) {
            let mut said = part.said.clone();
            let now = |v: usize| part.at.get(v).copied().unwrap_or(0);
            said.extend(circle.iter().take(at).map(|v| (*v, now(*v), true)));
            said.push((*slot, now(*slot), false));
            number += 1;
            steps += ways.len() * (1 + said.len());
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
        part.at = (0..ways.len()).map(|slot| part.cheapest(ways, slot)).collect();
        part.from = part.at.iter().zip(ways).map(|(at, ways)| ways.others.get(*at).map(|(_, from)| *from)).collect();
        part.bound = (0..ways.len()).map(|slot| part.cost(ways, slot, part.at.get(slot).copied())).sum();
        // Circles share no slot, and one slot of each must take something else: something that leads out of it, and out of
        // all that hangs together with it at the same cost, as slots do that are all to hold one preset.
        let mut taken = vec![false; ways.len()];
        for circle in circles(&part.from) {
            // One slot that gives way may do so for two of them.
            if circle.iter().any(|slot| taken.get(*slot) == Some(&true)) {
                continue;
            }
            let new = circle.first().and_then(|slot| part.from.get(*slot)?.as_ref()).is_some_and(|from| from.new);
            let wide = part.hanging(ways, &circle, new, &taken);
            let (near, far) = (part.leaving(ways, &circle, new), part.leaving(ways, &wide, new));
            for slot in if far > near { &wide } else { &circle } {
                if let Some(taken) = taken.get_mut(*slot) {
                    *taken = true;
                }
            }
            part.bound = part.bound.saturating_add(near.max(far));
        }
        part
    }

    /// A circle, and the slots that it might as well go by, as long as they read what it reads: old presets, or new ones.
    fn hanging(&self, ways: &[Ways], circle: &[usize], new: bool, taken: &[bool]) -> Vec<usize> {
        let mut out = circle.to_vec();
        let mut next = 0;
        while let Some(slot) = out.get(next).copied() {
            next += 1;
            let cost = self.cost(ways, slot, self.at.get(slot).copied());
            for (_, from) in
                ways.get(slot).map_or(&[][..], |w| &w.others).iter().filter(|(c, f)| *c == cost && f.new == new)
            {
                let reads = self.from.get(from.slot).copied().flatten().is_some_and(|f| f.new == new);
                if reads && taken.get(from.slot) == Some(&false) && !out.contains(&from.slot) {
                    out.push(from.slot);
                }
            }
        }
        out
    }

    /// What it costs more, at the least, that one of some slots reads none of them: of those that read new presets the
    /// first to be written cannot, of those that read old ones the last.
    fn leaving(&self, ways: &[Ways], slots: &[usize], new: bool) -> u32 {
        let inside = |from: &From| from.new == new && slots.contains(&from.slot);
        let more = |slot: &usize| {
            let at = self.at.get(*slot).copied();
            if !self.from.get(*slot)?.as_ref().is_some_and(inside) {
                return Some(0);
            }
            if self.keeps(*slot) {
                return None;
            }
            let others = ways.get(*slot).map_or(&[][..], |w| &w.others);
            let barred = |at: usize| self.said.iter().any(|(s, barred, keep)| s == slot && !keep && *barred == at);
            let out =
                (0..others.len()).find(|at| !barred(*at) && others.get(*at).is_some_and(|(_, from)| !inside(from)));
            let other = out.unwrap_or(others.len());
            Some(self.cost(ways, *slot, Some(other)).saturating_sub(self.cost(ways, *slot, at)))
        };
        slots.iter().filter_map(more).min().unwrap_or(u32::MAX)
    }

    /// True for a slot that keeps to what it has.
    fn keeps(&self, slot: usize) -> bool {
        self.said.iter().any(|(kept, _, keep)| *keep && *kept == slot)
    }

    /// The cheapest way left for a slot.
    fn cheapest(&self, ways: &[Ways], slot: usize) -> usize {
        let said = || self.said.iter().filter(|(s, _, _)| *s == slot);
        if let Some((_, kept, _)) = said().find(|(_, _, keep)| *keep) {
            return *kept;
        }
        let others = ways.get(slot).map_or(0, |w| w.others.len());
        let barred = |at: &usize| said().any(|(_, barred, keep)| !keep && barred == at);
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

    /// Slots that are all to hold one preset: one of them is written, and that is known at once.
    #[test]
    fn one_preset_for_many_slots() {
        let ways = |v: usize| Ways {
            alone: 2,
            others: (0..60).filter(|u| *u != v).map(|slot| (1, From { slot, new: true })).collect(),
        };
        let ways: Vec<Ways> = (0..60).map(ways).collect();
        assert_eq!(least(&ways).1, 61);
        assert_eq!(Part::of(&ways, Vec::new(), 0).bound, 61);
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
