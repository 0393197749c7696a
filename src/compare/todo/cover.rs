//! The fewest sets that hold everything.

/// Tries in the search for fewer presets; beyond, what was found so far stands.
const TRIES: usize = 200_000;

/// The fewest sets that cover all: greedy first, then a search for fewer, which ends early when it takes too long.
pub(super) fn cover(sets: &[&[usize]], all: usize) -> (Vec<usize>, bool) {
    let mut best = greedy(sets, all);
    let mut holders: Vec<Vec<usize>> = vec![Vec::new(); all];
    for (at, set) in sets.iter().enumerate() {
        for item in *set {
            if let Some(list) = holders.get_mut(*item) {
                list.push(at);
            }
        }
    }
    let widest = sets.iter().map(|s| s.len()).max().unwrap_or(1).max(1);
    let mut search = Search { sets, holders: &holders, widest, tries: 0, best: &mut best };
    search.go(&mut vec![0; all], all, &mut Vec::new());
    let fewest = search.tries < TRIES;
    best.sort_unstable();
    (best, fewest)
}

fn greedy(sets: &[&[usize]], all: usize) -> Vec<usize> {
    let mut covered = vec![false; all];
    let mut chosen = Vec::new();
    loop {
        let gain = |set: &[usize]| set.iter().filter(|i| covered.get(**i) == Some(&false)).count();
        let next = sets.iter().enumerate().map(|(at, set)| (gain(set), std::cmp::Reverse(at))).max();
        let Some((1.., std::cmp::Reverse(at))) = next else { break };
        for item in sets.get(at).copied().unwrap_or(&[]) {
            if let Some(flag) = covered.get_mut(*item) {
                *flag = true;
            }
        }
        chosen.push(at);
    }
    chosen
}

struct Search<'s> {
    sets: &'s [&'s [usize]],
    holders: &'s [Vec<usize>],
    widest: usize,
    tries: usize,
    best: &'s mut Vec<usize>,
}

impl Search<'_> {
    /// `covered` counts, for each item, how many chosen sets hold it.
    fn go(&mut self, covered: &mut Vec<u32>, left: usize, chosen: &mut Vec<usize>) {
        self.tries += 1;
        if left == 0 {
            if chosen.len() < self.best.len() {
                self.best.clone_from(chosen);
            }
            return;
        }
        // At least so many more are needed; and no more tries than we have patience for.
        if chosen.len() + left.div_ceil(self.widest) >= self.best.len() || self.tries >= TRIES {
            return;
        }
        // The item that fewest sets hold leaves the fewest choices.
        let open = self.holders.iter().enumerate().filter(|(item, _)| covered.get(*item) == Some(&0));
        let Some((_, holders)) = open.min_by_key(|(_, holders)| holders.len()) else { return };
        for at in holders {
            let Some(set) = self.sets.get(*at) else { continue };
            let mut fresh = 0;
            for item in *set {
                if let Some(count) = covered.get_mut(*item) {
                    fresh += usize::from(*count == 0);
                    *count += 1;
                }
            }
            chosen.push(*at);
            self.go(covered, left - fresh, chosen);
            chosen.pop();
            for item in *set {
                if let Some(count) = covered.get_mut(*item) {
                    *count -= 1;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::cover;

    #[test]
    fn the_fewest_that_cover_all() {
        // Greedy takes the four in the middle first and needs three; two suffice.
        let sets: Vec<&[usize]> = vec![&[0, 1, 2], &[3, 4, 5], &[1, 2, 3, 4]];
        assert_eq!(cover(&sets, 6), (vec![0, 1], true));
        assert_eq!(cover(&[], 0), (vec![], true));
    }
}
