//! The choice for contacts that a control ties together: each contact's minimum cut is a bound; where it breaks a
//! listed pattern, one scene's pattern is decided and the cuts are taken again, the lowest bound first.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::cut;
use super::graph::{Graph, Label};

/// Decisions tried for one cluster of scenes before the best so far is taken, and the gap told.
const MOST_TRIES: usize = 300;

type Chosen = Vec<BTreeMap<u32, bool>>;
type Controls = [(Vec<usize>, Vec<Vec<bool>>)];

/// Chooses for each contact the values of its free scenes; also gives a number of moves that no choice undercuts.
pub(super) fn solve(graphs: &[Graph], controls: &Controls) -> (Chosen, u64) {
    let mut out: Chosen = vec![BTreeMap::new(); graphs.len()];
    let mut bound = graphs.iter().map(Graph::fixed_moves).sum();
    for cluster in clusters(graphs) {
        let (chosen, least) = one(graphs, controls, &cluster);
        bound += least;
        // Not `append`: it lays the whole map anew for each cluster.
        for (all, some) in out.iter_mut().zip(chosen) {
            all.extend(some);
        }
    }
    (out, bound)
}

/// A decided part of the search: what it costs at least, and what is forced.
struct Try {
    cost: u64,
    number: usize,
    forced: Chosen,
    chosen: Chosen,
}

impl PartialEq for Try {
    fn eq(&self, other: &Try) -> bool {
        self.number == other.number
    }
}
impl Eq for Try {}
impl PartialOrd for Try {
    fn partial_cmp(&self, other: &Try) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Try {
    fn cmp(&self, other: &Try) -> std::cmp::Ordering {
        (self.cost, self.number).cmp(&(other.cost, other.number))
    }
}

fn one(graphs: &[Graph], controls: &Controls, scenes: &[u32]) -> (Chosen, u64) {
    let relaxed = |forced: Chosen, number: usize| {
        let chosen: Chosen = graphs.iter().zip(&forced).map(|(g, f)| cut::choose(g, &free_in(g, scenes), f)).collect();
        let cost = graphs.iter().zip(&chosen).map(|(g, c)| g.cost(&free_in(g, scenes), c)).sum();
        Try { cost, number, forced, chosen }
    };
    let first = relaxed(vec![BTreeMap::new(); graphs.len()], 0);
    if broken(graphs, controls, scenes, &first.chosen).is_none() {
        return (first.chosen, first.cost);
    }
    let rest: Chosen = vec![BTreeMap::new(); graphs.len()];
    let resting = graphs.iter().zip(&rest).map(|(g, c)| g.cost(&free_in(g, scenes), c)).sum();
    let mut best = (resting, rest);
    let mut waiting = BinaryHeap::from([Reverse(first)]);
    let mut tries = 1;
    while let Some(Reverse(next)) = waiting.pop() {
        if next.cost >= best.0 {
            return (best.1, best.0);
        }
        let Some((scene, at, patterns)) = broken(graphs, controls, scenes, &next.chosen) else {
            return (next.chosen, next.cost);
        };
        if tries >= MOST_TRIES {
            return (best.1, next.cost);
        }
        for pattern in patterns {
            let mut forced = next.forced.clone();
            for (place, on) in at.iter().zip(pattern) {
                if let Some(force) = forced.get_mut(*place) {
                    force.insert(scene, on);
                }
            }
            tries += 1;
            let found = relaxed(forced, tries);
            if found.cost < best.0 {
                if broken(graphs, controls, scenes, &found.chosen).is_none() {
                    best = (found.cost, found.chosen.clone());
                }
                waiting.push(Reverse(found));
            }
        }
    }
    (best.1, best.0)
}

fn free_in(graph: &Graph, scenes: &[u32]) -> Vec<u32> {
    scenes.iter().copied().filter(|s| graph.is_free(*s)).collect()
}

/// A scene, the contacts of one control, and the patterns that may stand there.
type Broken<'c> = (u32, &'c [usize], Vec<Vec<bool>>);

/// The first scene and control whose free contacts stand in a pattern that is neither listed nor the one at rest:
/// the scene, the contacts, and the patterns that may stand there.
fn broken<'c>(graphs: &[Graph], controls: &'c Controls, scenes: &[u32], chosen: &Chosen) -> Option<Broken<'c>> {
    for scene in scenes {
        for (at, listed) in controls {
            let labels = || at.iter().map(|i| graphs.get(*i).map_or(Label::Unknown, |g| g.label(*scene)));
            let rest: Vec<bool> =
                labels().filter_map(|l| if let Label::Free { rests } = l { Some(rests) } else { None }).collect();
            if rest.len() != at.len() {
                continue;
            }
            let stands: Vec<bool> = at
                .iter()
                .zip(&rest)
                .map(|(i, rest)| chosen.get(*i).and_then(|c| c.get(scene)).copied().unwrap_or(*rest))
                .collect();
            if stands != rest && !listed.contains(&stands) {
                let mut may = listed.clone();
                if !may.contains(&rest) {
                    may.push(rest);
                }
                return Some((*scene, at, may));
            }
        }
    }
    None
}

/// Free scenes that bear on each other, through any of the contacts.
fn clusters(graphs: &[Graph]) -> Vec<Vec<u32>> {
    let mut head: BTreeMap<u32, u32> = graphs.iter().flat_map(Graph::free).map(|s| (s, s)).collect();
    let find = |head: &mut BTreeMap<u32, u32>, scene: u32| {
        let mut at = scene;
        while let Some(up) = head.get(&at).copied().filter(|up| *up != at) {
            let above = head.get(&up).copied().unwrap_or(up);
            head.insert(at, above);
            at = up;
        }
        at
    };
    for graph in graphs {
        for scene in graph.free() {
            for (other, _) in graph.beside(scene).iter().filter(|(o, _)| graph.is_free(*o)) {
                let (a, b) = (find(&mut head, scene), find(&mut head, *other));
                head.insert(a.max(b), a.min(b));
            }
        }
    }
    let mut out: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    let scenes: Vec<u32> = head.keys().copied().collect();
    for scene in scenes {
        let first = find(&mut head, scene);
        out.entry(first).or_default().push(scene);
    }
    out.into_values().collect()
}
