//! As many sounds as slots: each is stored once, and the book is a quadratic assignment (see `once`).

use super::model::{Model, Placement};
use super::once::Problem;
use crate::book::Slot;

/// More than so many are left to the other searches.
const MOST: usize = 40;

/// The cheapest placement met, and what none undercuts. None where a sound may lie in two slots, or there are too many.
pub(super) fn least(model: &Model, steps: u64) -> Option<(Placement, u64)> {
    let things: Vec<u32> =
        (0..model.must.len() as u32).filter(|s| model.must.get(*s as usize) == Some(&true)).collect();
    let n = things.len() + model.idle.len();
    let empty = model.empty();
    if model.room() != things.len() || n > MOST || empty.at.iter().any(|spots| spots.len() > 1) {
        return None;
    }
    let places: Vec<(Slot, usize)> = (model.spots.iter().zip(0..))
        .flat_map(|(s, at)| s.free.iter().map(move |switch| (Slot::at(s.bank, *switch), at)))
        .collect();
    let thing = |sound: u32| things.binary_search(&sound).ok();
    let far = |from: usize, to: usize, same: bool| model.between(from, to, same);
    let mut problem = Problem {
        often: vec![vec![0; n]; n],
        far: (places.iter()).map(|(p, a)| places.iter().map(|(q, b)| far(*a, *b, p == q)).collect()).collect(),
        alone: vec![vec![0; n]; n],
    };
    let mut pinned = 0;
    let mut alone = |i: usize, times: u64, cost: &dyn Fn(usize) -> u64| {
        for (cell, (_, spot)) in problem.alone.get_mut(i).into_iter().flatten().zip(&places) {
            *cell += times * cost(*spot);
        }
    };
    for run in &model.runs {
        let lies = |sound: u32| empty.spots(sound).first().copied();
        let first = run.parts.first().map(|p| p.0);
        if let (Some(wakes), Some(sound)) = (model.wakes, first) {
            match (thing(sound), lies(sound)) {
                (Some(i), _) => alone(i, run.times, &|spot| far(wakes, spot, true)),
                (None, Some(spot)) => pinned += run.times * far(wakes, spot, true),
                (None, None) => {}
            }
        }
        for pair in run.parts.windows(2) {
            let [(was, _), (now, _)] = pair else { continue };
            match (thing(*was), thing(*now), lies(*was), lies(*now)) {
                (Some(i), Some(j), ..) if i != j => {
                    if let Some(cell) = problem.often.get_mut(i).and_then(|row| row.get_mut(j)) {
                        *cell += run.times;
                    }
                }
                (Some(i), None, _, Some(spot)) | (None, Some(i), Some(spot), _) => {
                    alone(i, run.times, &|own| far(own, spot, false));
                }
                (None, None, Some(a), Some(b)) => pinned += run.times * far(a, b, was == now),
                _ => {}
            }
        }
    }
    let found = problem.least(steps / (n.max(1) as u64).pow(3));
    let mut out = empty;
    for (sound, place) in things.iter().zip(&found.place) {
        out.put(*sound, places.get(*place)?.1);
    }
    Some((out, found.bound + pinned))
}
