//! What no placement undercuts: every change to another sound is a press at least, and a stretch of a run that asks more
//! sounds than so many banks hold passes so many banks.

use rustc_hash::{FxHashMap, FxHashSet};

use super::model::{Model, Played};

/// A longer run is not looked at in stretches.
const LONGEST: usize = 2_000;

/// For each place in a run what the rest costs at least, from where that part sounds; and what the whole costs from where
/// the unit wakes.
pub(super) fn rest(model: &Model, rooms: &Rooms, run: &Played) -> (Vec<u64>, u64) {
    let n = run.parts.len();
    let passed = passed(&rooms.of(run), n);
    let stretches = if n <= LONGEST { (0..n).collect::<Vec<_>>() } else { vec![0] };
    // The banks passed from each part on, by the best cut into stretches that share the sound at their seam.
    let mut banks = vec![0u64; n + 1];
    let mut seen: FxHashMap<u32, usize> = FxHashMap::default();
    for from in stretches.into_iter().rev() {
        let (mut sounds, mut best) = (0usize, banks.get(from + 1).copied().unwrap_or(0));
        for (to, (sound, _)) in run.parts.iter().enumerate().skip(from) {
            sounds += usize::from(seen.insert(*sound, from) != Some(from));
            best = best.max(
                passed.get(sounds).copied().unwrap_or(0) + banks.get(to).copied().filter(|_| to > from).unwrap_or(0),
            );
        }
        if let Some(cell) = banks.get_mut(from) {
            *cell = best;
        }
    }
    let same = u64::from(model.presses.same_bank);
    let step = u64::from(model.presses.bank_step);
    let mut out = vec![0; n];
    let mut changes = 0;
    for at in (0..n).rev() {
        if run.parts.get(at).map(|p| p.0) != run.parts.get(at + 1).map(|p| p.0) && at + 1 < n {
            changes += same;
        }
        if let Some(cell) = out.get_mut(at) {
            *cell = changes + step * banks.get(at).copied().unwrap_or(0);
        }
    }
    let first = out.first().copied().unwrap_or(0) + start(model, run);
    (out, first)
}

/// The first press, where another sound is pinned in the slot that the unit wakes in.
fn start(model: &Model, run: &Played) -> u64 {
    let wakes = model.wakes.and_then(|w| model.spots.get(w)).filter(|spot| spot.free.is_empty());
    let first = run.parts.first().map(|p| p.0);
    match (wakes, first) {
        (Some(spot), Some(first)) if !spot.pinned.contains(&first) => u64::from(model.presses.same_bank),
        _ => 0,
    }
}

/// How many sounds each bank can hold.
pub(super) struct Rooms {
    /// The free slots of each bank, the most first, where nothing is pinned.
    free: Option<Vec<usize>>,
    /// Else for each bank its free slots, and what is pinned there.
    banks: Vec<(usize, Vec<u32>)>,
}

impl Rooms {
    pub(super) fn of_all(model: &Model) -> Rooms {
        let mut banks: Vec<(usize, Vec<u32>)> = Vec::new();
        for spots in model.spots.chunk_by(|a, b| a.bank == b.bank) {
            let mut pinned: Vec<u32> = spots.iter().flat_map(|s| &s.pinned).copied().collect();
            pinned.sort_unstable();
            pinned.dedup();
            banks.push((spots.iter().map(|s| s.free.len()).sum(), pinned));
        }
        let bare = banks.iter().all(|(_, pinned)| pinned.is_empty());
        Rooms { free: bare.then(|| most_first(banks.iter().map(|(free, _)| *free))), banks }
    }

    /// How many of a run's sounds the banks can hold, the roomiest first.
    fn of(&self, run: &Played) -> Vec<usize> {
        if let Some(free) = &self.free {
            return free.iter().take(run.parts.len()).copied().collect();
        }
        let played: FxHashSet<u32> = run.parts.iter().map(|p| p.0).collect();
        most_first(self.banks.iter().map(|(free, pinned)| free + pinned.iter().filter(|s| played.contains(s)).count()))
    }
}

fn most_first(rooms: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut rooms: Vec<usize> = rooms.collect();
    rooms.sort_unstable_by(|a, b| b.cmp(a));
    rooms
}

/// Banks passed by who needs so many sounds, from none on.
fn passed(most: &[usize], sounds: usize) -> Vec<u64> {
    let mut out = vec![0];
    for (bank, room) in (0u64..).zip(most) {
        out.extend(std::iter::repeat_n(bank, (*room).min((sounds + 1).saturating_sub(out.len()))));
    }
    out
}

/// What no placement undercuts, over all runs.
pub(super) fn all(model: &Model) -> u64 {
    let rooms = Rooms::of_all(model);
    model.runs.iter().map(|run| rest(model, &rooms, run).1 * run.times).sum()
}
