//! All placements, as far as they are worth a look: the runs are played in thought, and each part is played from where its
//! sound lies or is put where there is room. What is spent, and what the rest costs at least, ends most ways early.

use super::bound::{self, Rooms};
use super::model::{Model, Placement};

/// So many parts are played in thought at most: the search goes as deep.
const DEEPEST: usize = 300;

/// A placement that costs less than `least` presses, the cheapest of all; and whether all ways were looked at.
pub(super) fn least(model: &Model, least: u64, most: u64) -> (Option<Placement>, bool) {
    let parts: usize = model.runs.iter().map(|run| run.parts.len()).sum();
    if parts > DEEPEST {
        return (None, false);
    }
    let rooms = Rooms::of_all(model);
    let rests: Vec<(Vec<u64>, u64)> = model.runs.iter().map(|run| bound::rest(model, &rooms, run)).collect();
    let mut behind = vec![0; model.runs.len() + 1];
    for (at, (run, rest)) in model.runs.iter().zip(&rests).enumerate().rev() {
        let later = behind.get(at + 1).copied().unwrap_or(0);
        if let Some(cell) = behind.get_mut(at) {
            *cell = later + rest.1 * run.times;
        }
    }
    let waiting = model.must.iter().filter(|must| **must).count();
    let mut search = Search { model, rests, behind, now: model.empty(), waiting, best: None, least, looked: 0, most };
    search.play(0, 0, model.wakes, true, 0);
    let whole = search.looked < most;
    (search.best, whole)
}

struct Search<'m> {
    model: &'m Model,
    /// What the rest of each run costs at least, part by part.
    rests: Vec<(Vec<u64>, u64)>,
    /// What the runs from each on cost at least.
    behind: Vec<u64>,
    now: Placement,
    /// Sounds that lie nowhere yet.
    waiting: usize,
    best: Option<Placement>,
    least: u64,
    looked: u64,
    most: u64,
}

impl Search<'_> {
    fn play(&mut self, number: usize, at: usize, here: Option<usize>, woken: bool, spent: u64) {
        self.looked += 1;
        let Some(run) = self.model.runs.get(number) else {
            if spent < self.least {
                (self.least, self.best) = (spent, Some(self.now.clone()));
            }
            return;
        };
        let Some((sound, _)) = run.parts.get(at).copied() else {
            return self.play(number + 1, 0, self.model.wakes, true, spent);
        };
        let same = woken || at.checked_sub(1).and_then(|b| run.parts.get(b)).is_some_and(|(was, _)| *was == sound);
        let rest = self.rests.get(number).and_then(|(rest, _)| rest.get(at)).copied().unwrap_or(0) * run.times;
        let later = self.behind.get(number + 1).copied().unwrap_or(0);
        let first = self.now.spots(sound).is_empty();
        let must = first && self.model.must.get(sound as usize) == Some(&true);
        let spare = self.model.room() > self.now.stored + self.waiting - usize::from(must);
        let mut ways: Vec<(u64, bool, usize)> = Vec::new();
        for spot in 0..self.model.spots.len() {
            let lies = self.now.holds(spot, sound);
            let room = lies || spare && self.model.open(&self.now, spot);
            if !room {
                continue;
            }
            let press = here.map_or(0, |from| self.model.between(from, spot, same)) * run.times;
            if spent + press + rest + later < self.least {
                ways.push((press, !lies, spot));
            }
        }
        ways.sort_unstable();
        for (press, put, spot) in ways {
            if self.looked >= self.most || spent + press + rest + later >= self.least {
                return;
            }
            if put {
                self.now.put(sound, spot);
                self.waiting -= usize::from(must);
            }
            self.play(number, at + 1, Some(spot), false, spent + press);
            if put {
                self.now.take(sound, spot);
                self.waiting += usize::from(must);
            }
        }
    }
}
