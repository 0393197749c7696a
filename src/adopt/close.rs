//! Parents for more scenes than can be compared each with each: of those before it, a scene is compared with the ones that
//! stand near it when all are sorted, from another column on each time.

use super::descent::Costs;
use super::groups::ANY;

/// So often the scenes are sorted.
const SORTS: usize = 8;
/// So many scenes on either side are looked at.
const NEAR: usize = 4;

/// A parent for each scene, none of which stands behind it in the order of what it says alone: so no circle comes about.
pub(super) fn parents(costs: &Costs<'_>, held: &[u32]) -> Vec<Option<usize>> {
    let (needs, width) = (costs.needs, costs.needs.width);
    let row = |scene: usize| held.get(scene * width..(scene + 1) * width).unwrap_or(&[]);
    let alone: Vec<u32> = (0..needs.len()).map(|scene| costs.says(&needs.root, scene, false)).collect();
    let before = |one: usize, other: usize| (alone.get(one), one) < (alone.get(other), other);
    let mut best: Vec<(u32, Option<usize>)> = alone.iter().map(|says| (*says, None)).collect();
    let mut order: Vec<usize> = (0..needs.len()).collect();
    for sort in 0..SORTS.min(width.max(1)) {
        let turn = sort * width / SORTS;
        let turned = |scene: &usize| {
            let (first, rest) = row(*scene).split_at(turn.min(width));
            (rest, first)
        };
        order.sort_unstable_by(|one, other| turned(one).cmp(&turned(other)).then(one.cmp(other)));
        for (at, scene) in order.iter().enumerate() {
            let near = order.get(at.saturating_sub(NEAR)..(at + NEAR + 1).min(order.len())).unwrap_or(&[]);
            for parent in near.iter().filter(|p| before(**p, *scene) && costs.barred.get(**p) != Some(&true)) {
                let says = 1 + costs.says(row(*parent), *scene, false);
                if let Some(best) = best.get_mut(*scene).filter(|best| says < best.0) {
                    *best = (says, Some(*parent));
                }
            }
        }
    }
    best.into_iter().map(|(_, parent)| parent).collect()
}

/// No text says less: a scene that is like no other says something beside what it derives from, and one of each kind comes
/// from another kind or from nothing.
pub(super) fn bound(costs: &Costs<'_>) -> usize {
    let needs = costs.needs;
    let alone = |scene: usize| costs.says(&needs.root, scene, false) as usize;
    let all = needs.len() + (0..needs.len()).map(|scene| alone(scene).min(1)).sum::<usize>();
    if needs.keys.contains(&ANY) {
        return all;
    }
    let mut rows: Vec<(&[u32], usize)> = (0..needs.len()).map(|scene| (needs.row(scene), scene)).collect();
    rows.sort_unstable();
    rows.dedup_by(|one, other| one.0 == other.0);
    all + rows.iter().map(|(_, scene)| alone(*scene).min(2).saturating_sub(1)).sum::<usize>()
}
