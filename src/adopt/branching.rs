//! The least arborescence: for each node one edge into it, no circle, all hanging from a root, the sum of costs least.
//!
//! J. Edmonds, "Optimum branchings", J. Res. Nat. Bur. Standards 71B (1967): take the cheapest edge into each node; where
//! that makes a circle, make it one node whose edges cost what they add to the circle's own; open the circles again at
//! the end. On a table of all edges each contraction costs a row a node, so the whole takes time in the square of the
//! nodes. Held against networkx by `tests/oracle/outside/adopt.py`.

/// An edge that must not be taken.
pub(super) const NEVER: u32 = u32::MAX;
/// The part that the root is: no circle ever holds it.
const ROOT: usize = usize::MAX;

/// A node, or a circle of nodes that was made one.
struct Part {
    /// For each node of the start, the root last: what an edge from it into this part costs.
    costs: Vec<u32>,
    /// The node of the start in which that edge ends.
    ends: Vec<u32>,
    /// The parts that it was made of.
    holds: Vec<usize>,
    /// The circle that it became a part of.
    within: Option<usize>,
    /// The cheapest edge into it: from and to, as nodes of the start.
    takes: Option<(u32, u32)>,
    /// Another edge hangs it under the root already.
    hangs: bool,
}

/// For each of `count` nodes the one that its edge comes from; `count` is the root. `cost` is asked for every pair; an
/// edge from the root must be there for every node.
pub(super) fn least(count: usize, mut cost: impl FnMut(usize, usize) -> u32) -> Vec<usize> {
    let mut parts: Vec<Part> = Vec::with_capacity(2 * count);
    for to in 0..count {
        let costs = (0..=count).map(|from| if from == to { NEVER } else { cost(from, to) }).collect();
        let ends = vec![to as u32; count + 1];
        parts.push(Part { costs, ends, holds: Vec::new(), within: None, takes: None, hangs: false });
    }
    let mut top: Vec<usize> = (0..count).chain([ROOT]).collect();
    for start in 0..count {
        grow(&mut parts, &mut top, start);
    }
    open(&parts, count)
}

/// Follows the cheapest edges back from a node until they come from the root, or from what hangs there already.
fn grow(parts: &mut Vec<Part>, top: &mut [usize], start: usize) {
    let mut path = vec![outer(parts, start)];
    while let Some(at) = path.last().copied() {
        if parts.get(at).is_some_and(|p| p.hangs) {
            break;
        }
        let Some((from, least)) = cheapest(parts, top, at) else { break };
        let Some(part) = parts.get_mut(at) else { break };
        part.takes = part.ends.get(from).map(|end| (from as u32, *end));
        for cost in part.costs.iter_mut().filter(|c| **c != NEVER) {
            // An edge from inside is never taken, whatever it costs.
            *cost = cost.saturating_sub(least);
        }
        let above = top.get(from).copied().unwrap_or(ROOT);
        if above == ROOT {
            break;
        }
        match path.iter().position(|p| *p == above) {
            Some(first) => {
                let circle = path.split_off(first);
                path.push(join(parts, top, circle));
            }
            None => path.push(above),
        }
    }
    for at in path {
        if let Some(part) = parts.get_mut(at) {
            part.hangs = true;
        }
    }
}

/// The part that a node belongs to by now.
fn outer(parts: &[Part], node: usize) -> usize {
    let mut at = node;
    while let Some(within) = parts.get(at).and_then(|p| p.within) {
        at = within;
    }
    at
}

/// The cheapest edge into a part from outside: the node that it comes from, and its cost; of equal ones the first.
fn cheapest(parts: &[Part], top: &[usize], at: usize) -> Option<(usize, u32)> {
    let costs = &parts.get(at)?.costs;
    let outside = costs.iter().zip(top).enumerate().filter(|(_, (cost, top))| **top != at && **cost != NEVER);
    outside.map(|(from, (cost, _))| (from, *cost)).min_by_key(|(_, cost)| *cost)
}

/// Makes a circle one part.
fn join(parts: &mut Vec<Part>, top: &mut [usize], circle: Vec<usize>) -> usize {
    let number = parts.len();
    let mut costs = vec![NEVER; top.len()];
    let mut ends = vec![0; top.len()];
    for at in &circle {
        let Some(part) = parts.get_mut(*at) else { continue };
        part.within = Some(number);
        let (old_costs, old_ends) = (std::mem::take(&mut part.costs), std::mem::take(&mut part.ends));
        for ((cost, end), (old, old_end)) in costs.iter_mut().zip(&mut ends).zip(old_costs.iter().zip(&old_ends)) {
            if old < cost {
                (*cost, *end) = (*old, *old_end);
            }
        }
    }
    for top in top.iter_mut().filter(|top| circle.contains(top)) {
        *top = number;
    }
    parts.push(Part { costs, ends, holds: circle, within: None, takes: None, hangs: false });
    number
}

/// Opens the circles, the outermost first: the edge that enters one takes the place of the circle's own at its end.
fn open(parts: &[Part], count: usize) -> Vec<usize> {
    let mut takes: Vec<Option<(u32, u32)>> = parts.iter().map(|p| p.takes).collect();
    for (number, part) in parts.iter().enumerate().rev().filter(|(_, p)| !p.holds.is_empty()) {
        let Some((from, to)) = takes.get(number).copied().flatten() else { continue };
        let mut inner = to as usize;
        while let Some(within) = parts.get(inner).and_then(|p| p.within).filter(|within| *within != number) {
            inner = within;
        }
        debug_assert!(part.holds.contains(&inner));
        if let Some(slot) = takes.get_mut(inner) {
            *slot = Some((from, to));
        }
    }
    takes.iter().take(count).map(|edge| edge.map_or(count, |(from, _)| from as usize)).collect()
}

#[cfg(test)]
mod tests {
    use super::{NEVER, least};

    /// Every choice of an edge a node, tried.
    fn tried(count: usize, costs: &[Vec<u32>]) -> u32 {
        let choices = (count as u32 + 1).pow(count as u32);
        let sums = (0..choices).filter_map(|mut choice| {
            let from: Vec<usize> = (0..count)
                .map(|_| {
                    let from = choice % (count as u32 + 1);
                    choice /= count as u32 + 1;
                    from as usize
                })
                .collect();
            let hangs = |mut at: usize| {
                (0..=count).any(|_| {
                    at = *from.get(at).unwrap_or(&count);
                    at == count
                })
            };
            let cost = |to: usize| costs[from[to]][to];
            ((0..count).all(|to| from[to] != to && cost(to) != NEVER && hangs(to))).then(|| (0..count).map(cost).sum())
        });
        sums.min().unwrap()
    }

    #[test]
    fn nothing_that_was_tried_costs_less() {
        let mut seed = 11u32;
        let mut below = |n: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % n
        };
        for round in 0..400 {
            let count = 1 + below(5) as usize;
            let costs: Vec<Vec<u32>> = (0..=count)
                .map(|from| {
                    let cost = |_| if from < count && below(6) == 0 { NEVER } else { below(2 + round % 9) };
                    (0..count).map(cost).collect()
                })
                .collect();
            let found = least(count, |from, to| costs[from][to]);
            let sum: u32 = found.iter().enumerate().map(|(to, from)| costs[*from][to]).sum();
            for mut at in 0..count {
                let hangs = (0..=count).any(|_| {
                    at = *found.get(at).unwrap_or(&count);
                    at == count
                });
                assert!(hangs, "{found:?} {costs:?}");
            }
            assert_eq!(sum, tried(count, &costs), "{found:?} {costs:?}");
        }
    }
}
