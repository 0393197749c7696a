//! The fewest sets that hold everything.

use fixedbitset::FixedBitSet;

/// Parts that the search for fewer sets looks at; beyond, what was found so far stands.
const TRIES: usize = 50_000;
/// Of so many things that are hardest to hold it is asked whether a set that holds them holds another, too.
const HARDEST: usize = 300;

/// Sets that hold everything that any set holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Cover {
    /// The sets, in order.
    pub chosen: Vec<usize>,
    /// No fewer sets do.
    pub bound: usize,
}

/// The fewest sets that hold all of so many things.
pub fn cover(sets: &[&[usize]], all: usize) -> Cover {
    let mut holders = vec![FixedBitSet::with_capacity(sets.len()); all];
    for (at, set) in sets.iter().enumerate() {
        for item in *set {
            if let Some(holders) = holders.get_mut(*item) {
                holders.insert(at);
            }
        }
    }
    over(&holders, sets.len())
}

/// The same for things that are given by the sets that hold them: greedy first, then a search for fewer, which ends early
/// when it takes too long.
pub fn over(holders: &[FixedBitSet], sets: usize) -> Cover {
    let best = greedy(holders, sets);
    let mut search = Search { holders: hardest(holders), sets, tries: 0, best };
    let root = search.needed(&FixedBitSet::with_capacity(search.holders.len()));
    if root < search.best.len() {
        search.go(&mut FixedBitSet::with_capacity(search.holders.len()), &mut Vec::new());
    }
    let bound = if search.tries < TRIES { search.best.len() } else { root };
    search.best.sort_unstable();
    Cover { chosen: search.best, bound }
}

fn greedy(holders: &[FixedBitSet], sets: usize) -> Vec<usize> {
    let mut left: Vec<&FixedBitSet> = holders.iter().filter(|h| !h.is_clear()).collect();
    let mut chosen = Vec::new();
    while !left.is_empty() {
        let mut gain = vec![0usize; sets];
        for at in left.iter().flat_map(|holders| holders.ones()) {
            if let Some(gain) = gain.get_mut(at) {
                *gain += 1;
            }
        }
        let next = gain.iter().enumerate().map(|(at, gain)| (*gain, std::cmp::Reverse(at))).max();
        let Some((1.., std::cmp::Reverse(at))) = next else { break };
        left.retain(|holders| !holders.contains(at));
        chosen.push(at);
    }
    chosen
}

/// Whoever holds these holds the others: the things that fewest sets hold first.
fn hardest(holders: &[FixedBitSet]) -> Vec<FixedBitSet> {
    let mut order: Vec<&FixedBitSet> = holders.iter().filter(|h| !h.is_clear()).collect();
    order.sort_by_cached_key(|h| h.count_ones(..));
    let mut kept: Vec<FixedBitSet> = Vec::new();
    for holders in order {
        if !kept.iter().take(HARDEST).any(|k| k.is_subset(holders)) {
            kept.push(holders.clone());
        }
    }
    kept
}

struct Search {
    holders: Vec<FixedBitSet>,
    sets: usize,
    tries: usize,
    best: Vec<usize>,
}

impl Search {
    /// So many more sets are needed at least: things of which no set holds two.
    fn needed(&self, held: &FixedBitSet) -> usize {
        let mut taken = FixedBitSet::with_capacity(self.sets);
        let mut apart = 0;
        for (item, holders) in self.holders.iter().enumerate() {
            if !held.contains(item) && taken.is_disjoint(holders) {
                taken.union_with(holders);
                apart += 1;
            }
        }
        apart
    }

    fn go(&mut self, held: &mut FixedBitSet, chosen: &mut Vec<usize>) {
        self.tries += 1;
        // The thing that fewest sets hold leaves the fewest choices.
        let open = (0..self.holders.len()).find(|item| !held.contains(*item));
        let Some(holders) = open.and_then(|item| self.holders.get(item)) else {
            if chosen.len() < self.best.len() {
                self.best.clone_from(chosen);
            }
            return;
        };
        let ways: Vec<usize> = holders.ones().collect();
        if chosen.len() + self.needed(held) >= self.best.len() {
            return;
        }
        for at in ways {
            if self.tries >= TRIES {
                return;
            }
            let mut next = held.clone();
            for (item, _) in self.holders.iter().enumerate().filter(|(_, h)| h.contains(at)) {
                next.insert(item);
            }
            chosen.push(at);
            self.go(&mut next, chosen);
            chosen.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fewest_that_cover_all() {
        // Greedy takes the four in the middle first and needs three; two suffice.
        let sets: Vec<&[usize]> = vec![&[0, 1, 2], &[3, 4, 5], &[1, 2, 3, 4]];
        assert_eq!(cover(&sets, 6), Cover { chosen: vec![0, 1], bound: 2 });
        assert_eq!(cover(&[], 0), Cover { chosen: vec![], bound: 0 });
    }

    /// Against every choice of sets.
    #[test]
    fn no_choice_of_sets_is_smaller() {
        let mut seed = 11u32;
        let mut below = |n: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % n
        };
        for _ in 0..300 {
            let (sets, things) = (1 + below(9) as usize, 1 + below(10) as usize);
            let held: Vec<Vec<usize>> = (0..sets).map(|_| (0..things).filter(|_| below(3) == 0).collect()).collect();
            let all: u32 = held.iter().flatten().fold(0, |all, item| all | 1 << item);
            let holds = |choice: u32| {
                let chosen = (0..sets).filter(|s| choice >> s & 1 == 1);
                chosen.flat_map(|s| &held[s]).fold(0, |all, item| all | 1u32 << item) == all
            };
            let least = (0..1u32 << sets).filter(|c| holds(*c)).map(u32::count_ones).min().unwrap() as usize;
            let found = cover(&held.iter().map(Vec::as_slice).collect::<Vec<_>>(), things);
            assert_eq!((found.chosen.len(), found.bound), (least, least), "{held:?}");
            assert!(holds(found.chosen.iter().fold(0, |all, s| all | 1 << s)));
        }
    }
}
