//! First placements: sounds laid down as the runs ask for them.

use super::model::{Model, Placement};

/// Goes along the runs: a sound that is near enough is used where it lies, another is put into the bank where one stands, or
/// into the nearest with room; again if there is room to spare.
pub(super) fn along(model: &Model) -> Placement {
    let mut out = model.empty();
    let mut waiting = model.must.iter().filter(|must| **must).count();
    // The nearest spot with room, among those that may still have some.
    let mut open: Vec<usize> = (0..model.spots.len()).filter(|s| model.open(&out, *s)).collect();
    let step = |from: Option<usize>, to: usize, same| from.map_or(0, |from| model.between(from, to, same));
    for run in &model.runs {
        let mut here = model.wakes;
        for (sound, _) in &run.parts {
            let lies = out.spots(*sound).iter().map(|s| (step(here, *s, here == model.wakes), *s)).min();
            let near = nearest(model, &open, here);
            let room = near.map(|s| (step(here, s, here == model.wakes), s));
            let first = lies.is_none();
            // One more preset is worth it when it spares a bank and every sound that waits still finds room.
            let spare = model.room() > out.stored + waiting;
            let to = match (lies, room) {
                (Some((far, _)), Some((near, spot))) if spare && far > near => spot,
                (Some((_, spot)), _) => spot,
                (None, Some((_, spot))) => spot,
                (None, None) => continue,
            };
            if !out.holds(to, *sound) {
                out.put(*sound, to);
                waiting -= usize::from(first && model.must.get(*sound as usize) == Some(&true));
                if !model.open(&out, to) {
                    open.retain(|s| *s != to);
                }
            }
            here = Some(to);
        }
    }
    out
}

/// The nearest open spot; of two equally near the later one, as runs go on.
fn nearest(model: &Model, open: &[usize], here: Option<usize>) -> Option<usize> {
    let Some(here) = here else { return open.first().copied() };
    let at = open.partition_point(|s| *s < here);
    let (before, behind) = (at.checked_sub(1).and_then(|b| open.get(b)), open.get(at));
    let far = |s: &&usize| model.between(here, **s, false);
    behind.into_iter().chain(before).min_by_key(far).copied()
}
