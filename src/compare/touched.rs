//! What the work reaches: songs, presets that nobody plays any more, and which presets to step through afterwards.

use std::collections::BTreeSet;

use fixedbitset::FixedBitSet;
use rustc_hash::FxHashMap;

use super::edits::Work;
use super::pairs::Matched;
use super::stored::{Store, Wire, columns, memory};
use crate::Compiled;
use crate::book::Slot;
use crate::settle::{Answer, Row};

/// What the work reaches.
#[derive(Clone, Debug, Default)]
pub struct Touched {
    /// Songs of the new book that play a slot worked on, by title, with those slots.
    pub songs: Vec<(String, Vec<Slot>)>,
    /// Slots of the new book whose scene was played and is played no more: slot, scene.
    pub unplayed: Vec<(Slot, u32)>,
    /// Slots that the new book does not fill: slot, old scene.
    pub emptied: Vec<(Slot, u32)>,
}

/// Finds all that.
pub fn touched(old: &Compiled, new: &Compiled, matched: &Matched, work: &[Work]) -> Touched {
    let mut slots: FxHashMap<u32, Vec<Slot>> = FxHashMap::default();
    for work in work {
        slots.entry(work.now).or_default().push(work.slot);
    }
    let mut songs = Vec::new();
    for song in &new.book.songs {
        let played = song.parts.iter().filter_map(|p| slots.get(&p.scene?)).flatten();
        let reached: BTreeSet<Slot> = played.copied().collect();
        if !reached.is_empty() {
            songs.push((song.title.to_string(), reached.into_iter().collect()));
        }
    }
    songs.sort();
    let plays = |c: &Compiled| {
        let mut played = FixedBitSet::with_capacity(c.book.scenes.len());
        c.book.songs.iter().flat_map(|s| &s.parts).filter_map(|p| p.scene).for_each(|s| played.insert(s as usize));
        played
    };
    let (before, after) = (plays(old), plays(new));
    let (holds, wants) = (memory(old), memory(new));
    let lost = wants.iter().filter(|row| {
        !after.contains(row.scene as usize)
            && matched.scenes.old_of(row.scene).is_some_and(|s| before.contains(s as usize))
    });
    let emptied = holds.iter().filter(|row| wants.binary_search_by_key(&row.slot, |want| want.slot).is_err());
    Touched {
        unplayed: lost.map(|row| (row.slot, row.scene)).collect(),
        emptied: emptied.map(|row| (row.slot, row.scene)).collect(),
        songs,
    }
}

/// Presets to step through, so that everything changed is seen once.
#[derive(Clone, Debug, Default)]
pub struct Walk {
    /// The slots, in order, each with its scene and how many changes it shows that no earlier one did.
    pub steps: Vec<(Slot, u32, usize)>,
    /// How many changes there are to see.
    pub changes: usize,
    /// No fewer presets show all of them.
    pub fewest: bool,
}

/// What is tested: that a cell was changed to a value, or that a loop that was rewired is heard.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Change(Wire, Store);

/// Tries in the search for fewer presets; beyond, what was found so far stands.
const TRIES: usize = 200_000;

/// The fewest presets that show every change: each cell in each value that the work stores there, each rewired loop
/// engaged. Exact while it is quick.
pub fn walk(new: &Compiled, work: &[Work], rewired: &BTreeSet<u16>) -> Walk {
    let columns: FxHashMap<u16, _> = columns(new).into_iter().map(|c| (c.cell, c)).collect();
    let mut numbers: FxHashMap<Change, usize> = FxHashMap::default();
    let mut shows: Vec<(Slot, u32, Vec<usize>)> = Vec::new();
    let mut number = |change: Change| {
        let next = numbers.len();
        *numbers.entry(change).or_insert(next)
    };
    let worked: FxHashMap<Slot, &Work> = work.iter().map(|w| (w.slot, w)).collect();
    for row in memory(new) {
        let mut seen: Vec<usize> = Vec::new();
        if let Some(work) = worked.get(&row.slot) {
            let stored = work.edits.iter().filter_map(|e| Some(Change(e.wire, columns.get(&e.cell)?.store(e.now))));
            seen.extend(stored.map(&mut number));
        }
        for n in rewired {
            if Row::of(&new.book, &new.table, row.scene).engaged(*n) == Answer::Yes {
                seen.push(number(Change(Wire::Loop(*n), Store::On)));
            }
        }
        seen.sort_unstable();
        seen.dedup();
        if !seen.is_empty() {
            shows.push((row.slot, row.scene, seen));
        }
    }
    let changes = numbers.len();
    let sets: Vec<&[usize]> = shows.iter().map(|(_, _, seen)| seen.as_slice()).collect();
    let (chosen, fewest) = cover(&sets, changes);
    let mut told = vec![false; changes];
    let mut steps = Vec::new();
    for at in chosen {
        let Some((slot, scene, seen)) = shows.get(at) else { continue };
        let mut fresh = 0;
        for change in seen {
            if let Some(flag) = told.get_mut(*change).filter(|flag| !**flag) {
                *flag = true;
                fresh += 1;
            }
        }
        steps.push((*slot, *scene, fresh));
    }
    Walk { steps, changes, fewest }
}

/// The fewest sets that cover all: greedy first, then a search for fewer, which ends early when it takes too long.
fn cover(sets: &[&[usize]], all: usize) -> (Vec<usize>, bool) {
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
