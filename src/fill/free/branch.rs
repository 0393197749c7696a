//! The choice for contacts that rules tie together: each contact's minimum cut is a bound; where it breaks a rule in some
//! scene, one contact of that scene is decided both ways and the cuts are taken again, the lowest bound first.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::cut;
use super::graph::Graph;
use crate::ids::SceneId;

/// Decisions tried for one cluster of scenes before the best so far is taken, and the gap told; fewer where each costs
/// much.
const MOST_TRIES: usize = 4_000;
const MOST_WORK: usize = 3_000_000;

pub(super) type Chosen = Vec<BTreeMap<SceneId, bool>>;

/// For each scene that rules bind: the places of its free contacts, and the patterns that may stand there.
pub(super) type Bindings = BTreeMap<SceneId, (Vec<usize>, Vec<Vec<bool>>)>;

/// Chooses for each contact the values of its free scenes; also gives a number of moves that no choice undercuts.
pub(super) fn solve(graphs: &[Graph], bindings: &Bindings) -> (Chosen, u64) {
    let mut out: Chosen = vec![BTreeMap::new(); graphs.len()];
    let mut bound = graphs.iter().map(Graph::fixed_moves).sum();
    for cluster in clusters(graphs, bindings) {
        let (chosen, least) = Search { graphs, bindings, scenes: &cluster }.solve();
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

struct Search<'s> {
    graphs: &'s [Graph],
    bindings: &'s Bindings,
    scenes: &'s [SceneId],
}

impl Search<'_> {
    fn solve(&self) -> (Chosen, u64) {
        // What every pattern of a scene agrees on is decided from the start.
        let mut forced: Chosen = vec![BTreeMap::new(); self.graphs.len()];
        self.scenes.iter().for_each(|scene| self.agree(*scene, &mut forced));
        let first = self.relaxed(forced, 0);
        let mut best = self.kept(&first);
        let mut waiting = BinaryHeap::from([Reverse(first)]);
        let most = MOST_TRIES.min(MOST_WORK / (self.scenes.len() * self.graphs.len()).max(1));
        let mut tries = 1;
        while let Some(Reverse(next)) = waiting.pop() {
            if next.cost >= best.cost {
                break;
            }
            let Some((scene, place, on)) = self.broken(&next) else { return (next.chosen, next.cost) };
            if tries >= most {
                return (best.chosen, next.cost);
            }
            for on in [on, !on] {
                let mut forced = next.forced.clone();
                if let Some(force) = forced.get_mut(place) {
                    force.insert(scene, on);
                }
                if !self.fits(scene, &forced) {
                    continue;
                }
                self.agree(scene, &mut forced);
                tries += 1;
                let found = self.relaxed(forced, tries);
                if found.cost < best.cost {
                    let kept = self.kept(&found);
                    if kept.cost < best.cost {
                        best = kept;
                    }
                    waiting.push(Reverse(found));
                }
            }
        }
        (best.chosen, best.cost)
    }

    fn free_in(&self, graph: &Graph) -> Vec<SceneId> {
        self.scenes.iter().copied().filter(|s| graph.is_free(*s)).collect()
    }

    /// Each contact for itself, with what is forced.
    fn relaxed(&self, forced: Chosen, number: usize) -> Try {
        let graphs = self.graphs.iter().zip(&forced);
        let chosen: Chosen = graphs.map(|(g, f)| cut::choose(g, &self.free_in(g), f)).collect();
        let cost = self.graphs.iter().zip(&chosen).map(|(g, c)| g.cost(&self.free_in(g), c)).sum();
        Try { cost, number, forced, chosen }
    }

    /// The pattern that a choice puts in a bound scene.
    fn stands(&self, scene: SceneId, chosen: &Chosen) -> Vec<bool> {
        let places = self.bindings.get(&scene).map_or(&[][..], |(places, _)| places);
        places.iter().map(|p| chosen.get(*p).and_then(|c| c.get(&scene)) == Some(&true)).collect()
    }

    /// The patterns of a bound scene that agree with what is forced.
    fn left<'b>(&'b self, scene: SceneId, forced: &'b Chosen) -> impl Iterator<Item = &'b Vec<bool>> + 'b {
        let (places, patterns) = self.bindings.get(&scene).map_or((&[][..], &[][..]), |(a, b)| (a, b));
        let agrees = move |pattern: &&Vec<bool>| {
            let forced = places.iter().map(|p| forced.get(*p).and_then(|f| f.get(&scene)));
            pattern.iter().zip(forced).all(|(on, force)| force.is_none_or(|f| f == on))
        };
        patterns.iter().filter(agrees)
    }

    fn fits(&self, scene: SceneId, forced: &Chosen) -> bool {
        self.left(scene, forced).next().is_some()
    }

    /// Forces what all patterns that are left agree on.
    fn agree(&self, scene: SceneId, forced: &mut Chosen) {
        let Some((places, _)) = self.bindings.get(&scene) else { return };
        let left: Vec<&Vec<bool>> = self.left(scene, forced).collect();
        let mut agreed = Vec::new();
        for (at, place) in places.iter().enumerate() {
            let mut values = left.iter().filter_map(|p| p.get(at));
            if let Some(first) = values.next().filter(|first| values.all(|v| v == *first)) {
                agreed.push((*place, *first));
            }
        }
        for (place, on) in agreed {
            if let Some(force) = forced.get_mut(place) {
                force.insert(scene, on);
            }
        }
    }

    /// The nearest pattern that is left for a scene, of equals the first.
    fn nearest(&self, scene: SceneId, tried: &Try) -> Option<Vec<bool>> {
        let stands = self.stands(scene, &tried.chosen);
        let apart = |p: &&Vec<bool>| p.iter().zip(&stands).filter(|(a, b)| a != b).count();
        self.left(scene, &tried.forced).min_by_key(apart).cloned()
    }

    /// A scene whose rules the choice breaks; one of its contacts, and the value it would have in the nearest pattern.
    fn broken(&self, tried: &Try) -> Option<(SceneId, usize, bool)> {
        self.scenes.iter().find_map(|scene| {
            let (places, patterns) = self.bindings.get(scene)?;
            let stands = self.stands(*scene, &tried.chosen);
            if patterns.contains(&stands) {
                return None;
            }
            let nearest = self.nearest(*scene, tried)?;
            let at = nearest.iter().zip(&stands).position(|(a, b)| a != b)?;
            Some((*scene, *places.get(at)?, *nearest.get(at)?))
        })
    }

    /// A choice that breaks no rule, from one that may: every bound scene takes the nearest pattern.
    fn kept(&self, tried: &Try) -> Try {
        let mut forced = tried.forced.clone();
        for scene in self.scenes {
            let (Some((places, _)), Some(pattern)) = (self.bindings.get(scene), self.nearest(*scene, tried)) else {
                continue;
            };
            for (place, on) in places.iter().zip(pattern) {
                if let Some(force) = forced.get_mut(*place) {
                    force.insert(*scene, on);
                }
            }
        }
        self.relaxed(forced, tried.number)
    }
}

/// Free scenes that bear on each other, through any of the contacts. A scene that is bound is in one cluster with all of
/// its contacts, as the cluster is of scenes.
fn clusters(graphs: &[Graph], bindings: &Bindings) -> Vec<Vec<SceneId>> {
    let free = graphs.iter().flat_map(Graph::free);
    let mut head: BTreeMap<SceneId, SceneId> = free.chain(bindings.keys().copied()).map(|s| (s, s)).collect();
    let find = |head: &mut BTreeMap<SceneId, SceneId>, scene: SceneId| {
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
    let mut out: BTreeMap<SceneId, Vec<SceneId>> = BTreeMap::new();
    let scenes: Vec<SceneId> = head.keys().copied().collect();
    for scene in scenes {
        let first = find(&mut head, scene);
        out.entry(first).or_default().push(scene);
    }
    out.into_values().collect()
}
