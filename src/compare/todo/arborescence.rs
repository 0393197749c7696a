//! From where each slot is filled at least cost, such that nothing is read after it was overwritten.
//!
//! A slot is filled by editing what it holds, or from what another slot holds before that is overwritten. Slots that
//! read from each other in a circle cannot be filled in any order; so the choices form a forest that hangs on the
//! slots edited in place: a least arborescence (Chu and Liu; Edmonds).

/// For each node its parent, None for the root; `alone` is the cost from the root, `from(u, v)` that of v from u.
pub(super) fn least(alone: &[u32], from: &dyn Fn(usize, usize) -> Option<u32>) -> Vec<Option<usize>> {
    let count = alone.len();
    let mut costs = vec![vec![None; count]; count + 1];
    for (u, row) in costs.iter_mut().enumerate() {
        for (v, slot) in row.iter_mut().enumerate() {
            *slot = match u.checked_sub(1) {
                None => alone.get(v).map(|c| i64::from(*c)),
                Some(u) if u != v => from(u, v).map(i64::from),
                Some(_) => None,
            };
        }
    }
    parents(&costs).into_iter().map(|p| p.checked_sub(1)).collect()
}

/// Row 0 is the root; row u + 1 and column u are node u. Gives for each node the row of its parent.
fn parents(costs: &[Vec<Option<i64>>]) -> Vec<usize> {
    let count = costs.first().map_or(0, Vec::len);
    let cost = |u: usize, v: usize| costs.get(u).and_then(|r| r.get(v)).copied().flatten();
    // The cheapest way into each node; the root wins ties, then the lowest.
    let cheapest = |v: usize| (0..=count).filter_map(|u| Some((cost(u, v)?, u))).min().map_or(0, |(_, u)| u);
    let into: Vec<usize> = (0..count).map(cheapest).collect();
    let parent = |v: usize| into.get(v).copied().unwrap_or(0);
    // Which circle each node lies on, if any.
    let mut circle: Vec<Option<usize>> = vec![None; count];
    let mut seen = vec![0usize; count];
    let mut circles = 0;
    for start in 0..count {
        let mut at = start;
        while seen.get(at) == Some(&0) {
            if let Some(mark) = seen.get_mut(at) {
                *mark = start + 1;
            }
            match parent(at).checked_sub(1) {
                Some(next) => at = next,
                None => break,
            }
        }
        let closed = seen.get(at) == Some(&(start + 1)) && parent(at) != 0 && circle.get(at) == Some(&None);
        if closed {
            let mut on = at;
            loop {
                if let Some(slot) = circle.get_mut(on) {
                    *slot = Some(circles);
                }
                on = parent(on).saturating_sub(1);
                if on == at {
                    break;
                }
            }
            circles += 1;
        }
    }
    if circles == 0 {
        return into;
    }
    // Each circle becomes one node; entering it saves the way in that it replaces.
    let lone: Vec<usize> = (0..count).filter(|v| circle.get(*v) == Some(&None)).collect();
    let number = |v: usize| match circle.get(v).copied().flatten() {
        Some(circle) => lone.len() + circle,
        None => lone.binary_search(&v).unwrap_or(0),
    };
    let size = lone.len() + circles;
    let mut small: Vec<Vec<Option<i64>>> = vec![vec![None; size]; size + 1];
    let mut by: Vec<Vec<(usize, usize)>> = vec![vec![(0, 0); size]; size + 1];
    for u in 0..=count {
        let from = u.checked_sub(1).map_or(0, |u| number(u) + 1);
        for v in 0..count {
            let to = number(v);
            let Some(worth) = cost(u, v).filter(|_| from != to + 1) else { continue };
            let saved = circle.get(v).copied().flatten().and_then(|_| cost(parent(v), v)).unwrap_or(0);
            let worth = worth - saved;
            let slot = small.get_mut(from).and_then(|r| r.get_mut(to));
            if let (Some(slot), Some(way)) = (slot, by.get_mut(from).and_then(|r| r.get_mut(to)))
                && slot.is_none_or(|old| worth < old)
            {
                (*slot, *way) = (Some(worth), (u, v));
            }
        }
    }
    let chosen = parents(&small);
    let mut out = into.clone();
    for (to, from) in chosen.into_iter().enumerate() {
        if let Some((u, v)) = by.get(from).and_then(|r| r.get(to))
            && let Some(slot) = out.get_mut(*v)
        {
            *slot = *u;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worth(alone: &[u32], costs: &[Vec<u32>], parents: &[Option<usize>]) -> Option<u32> {
        for start in 0..parents.len() {
            let (mut at, mut steps) = (Some(start), 0);
            while let Some(v) = at {
                at = parents[v];
                steps += 1;
                if steps > parents.len() {
                    return None;
                }
            }
        }
        Some(parents.iter().enumerate().map(|(v, p)| p.map_or(alone[v], |u| costs[u][v])).sum())
    }

    fn brute(alone: &[u32], costs: &[Vec<u32>], chosen: &mut Vec<Option<usize>>) -> u32 {
        if chosen.len() == alone.len() {
            return worth(alone, costs, chosen).unwrap_or(u32::MAX);
        }
        let v = chosen.len();
        let mut best = u32::MAX;
        for parent in std::iter::once(None).chain((0..alone.len()).filter(|u| *u != v).map(Some)) {
            chosen.push(parent);
            best = best.min(brute(alone, costs, chosen));
            chosen.pop();
        }
        best
    }

    #[test]
    fn least_is_what_trying_all_finds() {
        let mut seed = 11u32;
        let mut next = |below: u32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 16) % below
        };
        for _ in 0..400 {
            let count = 1 + next(5) as usize;
            let alone: Vec<u32> = (0..count).map(|_| 3 + next(12)).collect();
            let costs: Vec<Vec<u32>> = (0..count).map(|_| (0..count).map(|_| 1 + next(9)).collect()).collect();
            let parents = least(&alone, &|u, v| Some(costs[u][v]));
            let found = worth(&alone, &costs, &parents).expect("no circle");
            assert_eq!(found, brute(&alone, &costs, &mut Vec::new()), "{alone:?} {costs:?}");
        }
    }
}
