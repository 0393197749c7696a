//! The parts of a song, old beside new.

use crate::book::Part;
use crate::compare::pairing::Pairs;
use crate::ids::SceneId;

/// A place on each side; None where a part stands on one alone.
pub(in crate::compare) type Aligned = (Option<usize>, Option<usize>);

/// Pairs of places, old and new, in the new song's order, those that are gone last; and whether parts that stand
/// in both changed their order.
///
/// Parts of one label are paired in their order; then, of the rest, those that play one scene.
pub(in crate::compare) fn parts(old: &[Part], new: &[Part], scenes: &Pairs<SceneId>) -> (Vec<Aligned>, bool) {
    let mut taken = vec![false; old.len()];
    let mut to_old: Vec<Option<usize>> = vec![None; new.len()];
    let mut join = |alike: &dyn Fn(&Part, &Part) -> bool, to_old: &mut Vec<Option<usize>>| {
        for (part, slot) in new.iter().zip(to_old.iter_mut()).filter(|(_, slot)| slot.is_none()) {
            let free = |at: usize| taken.get(at) == Some(&false);
            if let Some(at) = old.iter().enumerate().find(|(at, was)| free(*at) && alike(was, part)).map(|(at, _)| at) {
                *slot = Some(at);
                if let Some(flag) = taken.get_mut(at) {
                    *flag = true;
                }
            }
        }
    };
    let one_scene = |was: &Part, now: &Part| was.scene.is_some_and(|s| scenes.new_of(s) == now.scene);
    join(&|was, now| was.label == now.label && one_scene(was, now), &mut to_old);
    join(&|was, now| was.label == now.label, &mut to_old);
    join(&one_scene, &mut to_old);
    let kept: Vec<usize> = to_old.iter().copied().flatten().collect();
    let reordered = kept.windows(2).any(|pair| matches!(pair, [a, b] if a > b));
    let gone = (0..old.len()).filter(|at| !kept.contains(at)).map(|at| (Some(at), None));
    let pairs = to_old.iter().enumerate().map(|(at, from)| (*from, Some(at)));
    (pairs.chain(gone).collect(), reordered)
}
