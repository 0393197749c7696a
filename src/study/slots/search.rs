//! Better placements by many small moves, some of them backwards at first (simulated annealing: Kirkpatrick, Gelatt and
//! Vecchi 1983). The dice are always the same, and steps are counted: the same book gives the same placement.

use super::model::{Cost, Model, Placement, Way, cost};

/// How warm it begins and ends: a change that costs so many presses more is taken once in three tries.
const WARM: f64 = 1.5;
const COLD: f64 = 0.15;
/// Beside a press, what a press inside a song and a stored preset weigh: they decide between equals.
const INSIDE: f64 = 0.03;
const STORED: f64 = 0.01;
/// So often one move is tried at least, else nothing is won by trying.
const FEWEST: u64 = 500;

/// A sound put into a spot, or taken out of it.
#[derive(Clone, Copy)]
enum Act {
    Put(u32, usize),
    Take(u32, usize),
}

impl Act {
    fn sound(self) -> u32 {
        let (Act::Put(sound, _) | Act::Take(sound, _)) = self;
        sound
    }
}

/// The best placement met in so many steps from a first one; the dice begin with a number.
pub(super) fn better(model: &Model, first: Placement, dice: u64, most: u64) -> Placement {
    let mut steps = 0;
    let start = model.cost(&first, &mut steps);
    if model.scenes.is_empty() || steps.saturating_mul(FEWEST) > most {
        return first;
    }
    let mut plays: Vec<Vec<(usize, usize)>> = vec![Vec::new(); model.scenes.len()];
    for (number, run) in model.runs.iter().enumerate() {
        for (at, (sound, _)) in run.parts.iter().enumerate() {
            if let Some(list) = plays.get_mut(*sound as usize) {
                list.push((number, at));
            }
        }
    }
    let mut climb = Climb { model, plays, now: first.clone(), dice, steps };
    let (mut best, mut least, mut here) = (first, start, start);
    while climb.steps < most {
        let share = climb.steps as f64 / most as f64;
        let warmth = WARM * (COLD / WARM).powf(share);
        let acts = climb.draw();
        // A draw costs a step too.
        climb.steps += 1;
        if acts.is_empty() {
            continue;
        }
        let stretches = climb.stretches(&acts);
        let was = climb.ways(&stretches);
        climb.make(&acts);
        let now = climb.ways(&stretches);
        let after = Cost {
            all: here.all + now.all - was.all,
            inside: here.inside + now.inside - was.inside,
            stored: climb.now.stored,
        };
        let worse = weigh(after) - weigh(here);
        if worse > 0.0 && climb.chance() >= (-worse / warmth).exp() {
            climb.unmake(&acts);
            continue;
        }
        here = after;
        if here < least {
            (best, least) = (climb.now.clone(), here);
        }
    }
    tidy(model, exchanged(model, best, most / 10))
}

/// Exchanges what whole banks hold while that costs less: two change places, one goes behind another, or all between two
/// turn about.
pub(super) fn exchanged(model: &Model, mut placement: Placement, most: u64) -> Placement {
    let banks: Vec<usize> =
        (0..model.spots.len()).filter(|s| model.spots.get(*s).is_some_and(|s| !s.free.is_empty())).collect();
    let mut steps = 0;
    let mut least = model.cost(&placement, &mut steps);
    let mut again = true;
    while again {
        again = false;
        for from in 0..banks.len() {
            for to in (0..banks.len()).filter(|to| *to != from) {
                for turn in [Turn::Swap, Turn::Move, Turn::Reverse] {
                    if steps > most {
                        return placement;
                    }
                    let Some(next) = turned(model, &placement, &banks, from, to, turn) else { continue };
                    let cost = model.cost(&next, &mut steps);
                    if cost < least {
                        (least, placement, again) = (cost, next, true);
                    }
                }
            }
        }
    }
    placement
}

#[derive(Clone, Copy, PartialEq)]
enum Turn {
    Swap,
    Move,
    Reverse,
}

/// The placement after an exchange; None where something has no room, or lies there already.
fn turned(
    model: &Model,
    placement: &Placement,
    banks: &[usize],
    from: usize,
    to: usize,
    turn: Turn,
) -> Option<Placement> {
    let line: Vec<usize> = banks.get(from.min(to)..=from.max(to))?.to_vec();
    let mut held: Vec<Vec<u32>> = line.iter().filter_map(|b| placement.chosen.get(*b).cloned()).collect();
    let last = held.len().checked_sub(1)?;
    match turn {
        Turn::Swap if from < to => held.swap(0, last),
        Turn::Reverse if from < to && last > 2 => held.reverse(),
        Turn::Move if from < to => held.rotate_left(1),
        Turn::Move => held.rotate_right(1),
        _ => return None,
    }
    let mut out = placement.clone();
    line.iter().for_each(|bank| {
        let there = out.chosen.get(*bank).cloned().unwrap_or_default();
        there.into_iter().for_each(|sound| out.take(sound, *bank));
    });
    for (bank, sounds) in line.iter().zip(held) {
        for sound in sounds {
            if !model.open(&out, *bank) || out.holds(*bank, sound) {
                return None;
            }
            out.put(sound, *bank);
        }
    }
    Some(out)
}

/// Takes out every preset that spares nobody a press.
pub(super) fn tidy(model: &Model, mut placement: Placement) -> Placement {
    let mut steps = 0;
    let mut least = model.cost(&placement, &mut steps);
    for spot in (0..model.spots.len()).rev() {
        for sound in placement.chosen.get(spot).cloned().unwrap_or_default() {
            if placement.spots(sound).len() < 2 {
                continue;
            }
            placement.take(sound, spot);
            let cost = model.cost(&placement, &mut steps);
            if cost < least {
                least = cost;
            } else {
                placement.put(sound, spot);
            }
        }
    }
    placement
}

fn weigh(cost: Cost) -> f64 {
    cost.all as f64 + INSIDE * cost.inside as f64 + STORED * cost.stored as f64
}

/// A stretch of a run: the first part that a move may change, and one past the last.
type Stretch = (usize, usize, usize);

struct Climb<'m> {
    model: &'m Model,
    /// For each sound where it is played: the run, and the part of it.
    plays: Vec<Vec<(usize, usize)>>,
    now: Placement,
    dice: u64,
    steps: u64,
}

impl Climb<'_> {
    /// The stretches that a move bears on: each begins behind, and ends with, a sound that lies in one spot and stays there.
    fn stretches(&self, acts: &[Act]) -> Vec<Stretch> {
        let moved = |sound: u32| acts.iter().any(|act| act.sound() == sound);
        let mut places: Vec<(usize, usize)> =
            acts.iter().flat_map(|act| self.plays.get(act.sound() as usize).into_iter().flatten()).copied().collect();
        places.sort_unstable();
        places.dedup();
        let mut out: Vec<Stretch> = Vec::new();
        for (number, at) in places {
            if out.last().is_some_and(|(run, _, end)| *run == number && at < *end) {
                continue;
            }
            let Some(run) = self.model.runs.get(number) else { continue };
            let firm = |(sound, _): &(u32, bool)| !moved(*sound) && self.now.spots(*sound).len() == 1;
            let from = run.parts.get(..at).and_then(|p| p.iter().rposition(firm)).map_or(0, |p| p + 1);
            let behind = run.parts.get(at..).and_then(|p| p.iter().position(firm));
            out.push((number, from, behind.map_or(run.parts.len(), |p| at + p + 1)));
        }
        out
    }

    fn ways(&mut self, stretches: &[Stretch]) -> Cost {
        let mut sum = Cost { all: 0, inside: 0, stored: 0 };
        for (number, from, to) in stretches {
            let Some(run) = self.model.runs.get(*number) else { continue };
            let parts = run.parts.get(*from..*to).unwrap_or(&[]);
            let before = from.checked_sub(1).and_then(|b| run.parts.get(b)).map(|p| p.0);
            let start = match before {
                Some(sound) => self.now.spots(sound).first().map(|spot| (*spot, Some(sound))),
                None => self.model.wakes.map(|spot| (spot, None)),
            };
            let way = cost(self.model.stretch(parts, &self.now, start, &mut self.steps) * Way::from(run.times), 0);
            (sum.all, sum.inside) = (sum.all + way.all, sum.inside + way.inside);
        }
        sum
    }

    fn make(&mut self, acts: &[Act]) {
        acts.iter().for_each(|act| match *act {
            Act::Put(sound, spot) => self.now.put(sound, spot),
            Act::Take(sound, spot) => self.now.take(sound, spot),
        });
    }

    fn unmake(&mut self, acts: &[Act]) {
        acts.iter().rev().for_each(|act| match *act {
            Act::Put(sound, spot) => self.now.take(sound, spot),
            Act::Take(sound, spot) => self.now.put(sound, spot),
        });
    }

    fn below(&mut self, n: usize) -> usize {
        self.dice = self.dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.dice >> 33) as usize).checked_rem(n).unwrap_or(0)
    }

    fn chance(&mut self) -> f64 {
        self.below(1 << 20) as f64 / f64::from(1 << 20)
    }

    fn one<T: Copy>(&mut self, of: &[T]) -> Option<T> {
        let at = self.below(of.len());
        of.get(at).copied()
    }

    /// A move; none when the dice fell badly.
    fn draw(&mut self) -> Vec<Act> {
        match self.below(16) {
            0 => self.fewer(),
            1 | 2 => self.turned(),
            3 => self.anywhere(),
            _ => self.nearer(),
        }
        .unwrap_or_default()
    }

    /// A change somewhere in a run: the sound that comes is brought to where the one before lies.
    fn nearer(&mut self) -> Option<Vec<Act>> {
        let run = self.below(self.model.runs.len());
        let parts = &self.model.runs.get(run)?.parts;
        let at = self.below(parts.len());
        let (was, sound) = (at.checked_sub(1).and_then(|b| parts.get(b)), parts.get(at)?.0);
        let (from, sound) = match was {
            Some((was, _)) if self.below(2) == 0 => (self.now.spots(sound).to_vec(), *was),
            Some((was, _)) => (self.now.spots(*was).to_vec(), sound),
            None => (self.model.wakes.into_iter().collect(), sound),
        };
        let to = self.one(&from)?;
        self.bring(sound, to)
    }

    /// Any sound to any spot.
    fn anywhere(&mut self) -> Option<Vec<Act>> {
        let sound = self.below(self.model.scenes.len()) as u32;
        let to = self.below(self.model.spots.len());
        self.bring(sound, to)
    }

    /// Brings a sound to a spot: as one more, or from where it lies; whatever has no room there goes, or goes back there.
    fn bring(&mut self, sound: u32, to: usize) -> Option<Vec<Act>> {
        if self.now.holds(to, sound) || self.model.spots.get(to)?.free.is_empty() {
            return None;
        }
        let own: Vec<usize> = self.now.spots(sound).iter().copied().filter(|s| self.now.chose(*s, sound)).collect();
        let from = self.one(&own);
        if self.model.open(&self.now, to) {
            let more = self.now.stored < self.model.room() && (from.is_none() || self.below(2) == 0);
            return match from {
                _ if more => Some(vec![Act::Put(sound, to)]),
                Some(from) => Some(vec![Act::Take(sound, from), Act::Put(sound, to)]),
                None => None,
            };
        }
        let there = self.now.chosen.get(to)?.clone();
        let out = self.one(&there)?;
        let others = self.now.spots(out).len() > 1 || !*self.model.must.get(out as usize)?;
        match from {
            // What goes lies elsewhere too.
            _ if others && self.below(2) == 0 => Some(vec![Act::Take(out, to), Act::Put(sound, to)]),
            Some(from) if !self.now.holds(from, out) => {
                Some(vec![Act::Take(out, to), Act::Take(sound, from), Act::Put(sound, to), Act::Put(out, from)])
            }
            _ => None,
        }
    }

    /// One preset less.
    fn fewer(&mut self) -> Option<Vec<Act>> {
        let sound = self.below(self.model.scenes.len()) as u32;
        let spots = self.now.spots(sound);
        if spots.len() < 2 && *self.model.must.get(sound as usize)? {
            return None;
        }
        let own: Vec<usize> = spots.iter().copied().filter(|s| self.now.chose(*s, sound)).collect();
        Some(vec![Act::Take(sound, self.one(&own)?)])
    }

    /// Two spots change what they hold.
    fn turned(&mut self) -> Option<Vec<Act>> {
        let (a, b) = (self.below(self.model.spots.len()), self.below(self.model.spots.len()));
        let (in_a, in_b) = (self.now.chosen.get(a)?.clone(), self.now.chosen.get(b)?.clone());
        let fits = |spot: usize, these: &[u32], gone: &[u32]| {
            let free = self.model.spots.get(spot).map_or(0, |s| s.free.len());
            these.len() <= free && these.iter().all(|s| gone.contains(s) || !self.now.holds(spot, *s))
        };
        if a == b || !fits(a, &in_b, &in_a) || !fits(b, &in_a, &in_b) {
            return None;
        }
        let take = |list: &[u32], spot: usize| list.iter().map(move |s| Act::Take(*s, spot)).collect::<Vec<_>>();
        let put = |list: &[u32], spot: usize| list.iter().map(move |s| Act::Put(*s, spot)).collect::<Vec<_>>();
        Some([take(&in_a, a), take(&in_b, b), put(&in_a, b), put(&in_b, a)].concat())
    }
}
