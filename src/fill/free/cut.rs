//! The exact choice for one contact: a minimum cut between closed and open, by shortest augmenting paths.

use std::collections::{BTreeMap, VecDeque};

use super::graph::{Graph, Label};
use crate::ids::SceneId;

struct Edge {
    to: usize,
    left: u64,
}

/// A flow network; each edge is followed by its reverse.
struct Network {
    edges: Vec<Edge>,
    from: Vec<Vec<usize>>,
    level: Vec<u32>,
    next: Vec<usize>,
}

const CLOSED: usize = 0;
const OPEN: usize = 1;
/// Not reached.
const FAR: u32 = u32::MAX;

impl Network {
    fn new(nodes: usize) -> Network {
        Network { edges: Vec::new(), from: vec![Vec::new(); nodes], level: Vec::new(), next: Vec::new() }
    }

    fn join(&mut self, a: usize, b: usize, there: u64, back: u64) {
        for (from, to, left) in [(a, b, there), (b, a, back)] {
            if let Some(list) = self.from.get_mut(from) {
                list.push(self.edges.len());
            }
            self.edges.push(Edge { to, left });
        }
    }

    /// Layers from CLOSED; true when OPEN is reached.
    fn layer(&mut self) -> bool {
        self.level = vec![FAR; self.from.len()];
        self.next = vec![0; self.from.len()];
        let mut queue = VecDeque::from([CLOSED]);
        if let Some(level) = self.level.get_mut(CLOSED) {
            *level = 0;
        }
        while let Some(node) = queue.pop_front() {
            let here = self.level.get(node).copied().unwrap_or(FAR);
            for edge in self.from.get(node).into_iter().flatten() {
                let Some(edge) = self.edges.get(*edge).filter(|e| e.left > 0) else { continue };
                if let Some(level) = self.level.get_mut(edge.to).filter(|l| **l == FAR) {
                    *level = here + 1;
                    queue.push_back(edge.to);
                }
            }
        }
        self.level.get(OPEN).is_some_and(|l| *l != FAR)
    }

    /// Pushes along one path of the layers; gives what went through. The path is kept in a list, not on the stack.
    fn push(&mut self) -> u64 {
        let mut path: Vec<usize> = Vec::new();
        let mut node = CLOSED;
        loop {
            if node == OPEN {
                let through = path.iter().filter_map(|e| self.edges.get(*e)).map(|e| e.left).min().unwrap_or(0);
                for edge in path {
                    for (edge, add) in [(edge, false), (edge ^ 1, true)] {
                        if let Some(edge) = self.edges.get_mut(edge) {
                            edge.left = if add { edge.left + through } else { edge.left - through };
                        }
                    }
                }
                return through;
            }
            let here = self.level.get(node).copied().unwrap_or(FAR);
            let place = self.next.get(node).copied().unwrap_or(0);
            match self.from.get(node).and_then(|list| list.get(place)).copied() {
                Some(edge) => {
                    let found = self.edges.get(edge).filter(|e| e.left > 0).map(|e| e.to);
                    let deeper = found.filter(|to| self.level.get(*to).copied() == Some(here + 1));
                    match deeper {
                        Some(to) => {
                            path.push(edge);
                            node = to;
                        }
                        None => self.skip(node),
                    }
                }
                None => match path.pop() {
                    Some(edge) => {
                        node = self.edges.get(edge ^ 1).map_or(CLOSED, |e| e.to);
                        self.skip(node);
                    }
                    None => return 0,
                },
            }
        }
    }

    fn skip(&mut self, node: usize) {
        if let Some(next) = self.next.get_mut(node) {
            *next += 1;
        }
    }
}

/// The best values of the given free scenes, those forced held fast. Every other free scene must lie in no pair with
/// them.
pub(super) fn choose(graph: &Graph, scenes: &[SceneId], forced: &BTreeMap<SceneId, bool>) -> BTreeMap<SceneId, bool> {
    let place: BTreeMap<SceneId, usize> = scenes.iter().enumerate().map(|(i, s)| (*s, i + 2)).collect();
    // A wish to rest counts less than any move, however many scenes there are.
    let unit = scenes.len() as u64 + 1;
    let fast = u64::from(u32::MAX) * unit;
    let mut network = Network::new(scenes.len() + 2);
    let mut ends: Vec<(u64, u64)> = vec![(0, 0); scenes.len() + 2];
    for scene in scenes {
        let Some(end) = place.get(scene).and_then(|p| ends.get_mut(*p)) else { continue };
        match (forced.get(scene), graph.label(*scene)) {
            (Some(true), _) => end.0 += fast,
            (Some(false), _) => end.1 += fast,
            (None, Label::Free { rests: true }) => end.0 += 1,
            (None, _) => end.1 += 1,
        }
    }
    for ((a, b), weight) in graph.pairs(scenes) {
        let weight = weight * unit;
        match (place.get(&a), place.get(&b)) {
            (Some(a), Some(b)) => network.join(*a, *b, weight, weight),
            (Some(free), None) | (None, Some(free)) => {
                let fixed = if place.contains_key(&a) { b } else { a };
                let Some(end) = ends.get_mut(*free) else { continue };
                match graph.label(fixed) {
                    Label::Fixed(true) => end.0 += weight,
                    Label::Fixed(false) => end.1 += weight,
                    _ => {}
                }
            }
            (None, None) => {}
        }
    }
    for (node, (closed, open)) in ends.iter().enumerate().skip(2) {
        // What both ends pull at is lost either way.
        let both = closed.min(open);
        if closed > both {
            network.join(CLOSED, node, closed - both, 0);
        }
        if open > both {
            network.join(node, OPEN, open - both, 0);
        }
    }
    while network.layer() {
        while network.push() > 0 {}
    }
    let side = |p: &usize| network.level.get(*p).is_some_and(|l| *l != FAR);
    scenes.iter().map(|s| (*s, place.get(s).is_some_and(side))).collect()
}
