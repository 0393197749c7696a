//! One contact over the sets: which scenes fix it, which leave it free, and how often one follows the other.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use crate::book::Book;
use crate::ids::{ColumnId, SceneId};
use crate::settle::{Table, Value};

/// How a scene holds a contact.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Label {
    /// Closed or open, as settled.
    Fixed(bool),
    /// Nobody hears it; where it rests.
    Free { rests: bool },
    /// Left as it was before: nothing moves.
    Passes,
    /// Not known: nothing is counted.
    Unknown,
}

/// A contact's scenes and the pairs that follow each other.
#[derive(Clone, Debug)]
pub(super) struct Graph {
    /// By scene; what is not played is not known.
    labels: Vec<Option<Label>>,
    /// How often two scenes follow each other, the smaller number first.
    weights: Vec<((SceneId, SceneId), u64)>,
    free: Vec<SceneId>,
    /// For each free scene: what it follows or comes before, and how often.
    beside: FxHashMap<SceneId, Vec<(SceneId, u64)>>,
}

/// The scenes of each set in playing order; None where a part's scene is not known.
pub(super) fn sequences(book: &Book) -> Vec<Vec<Option<SceneId>>> {
    let songs = |set: &crate::book::Set| {
        let songs = set.items.iter().filter_map(|item| book.show.songs.get(item.song()?));
        let parts = songs.flat_map(|song| song.parts.iter().map(|p| p.scene));
        let mut out: Vec<Option<SceneId>> = Vec::new();
        for scene in parts {
            // What switches inside a preset move is not free, and the first row of a slot is called before the second.
            let Some(id) = scene.map(|s| book.show.base(s)) else {
                out.push(None);
                continue;
            };
            let first =
                book.show.through(id).filter(|first| !out.last().is_some_and(|l| [Some(*first), Some(id)].contains(l)));
            out.extend(first.map(Some));
            out.push(Some(id));
        }
        out
    };
    book.show.sets_by_name().into_iter().map(songs).collect()
}

impl Graph {
    /// A contact's graph; `label` says how a scene holds it.
    pub(super) fn of(
        cell: ColumnId,
        sequences: &[Vec<Option<SceneId>>],
        label: &dyn Fn(SceneId, ColumnId) -> Label,
    ) -> Graph {
        let scenes = sequences.iter().flatten().flatten().max().map_or(0, |last| last.index() + 1);
        let mut graph = Graph { labels: vec![None; scenes], ..Graph::empty() };
        let mut pairs: Vec<(SceneId, SceneId)> = Vec::new();
        for sequence in sequences {
            let mut last: Option<SceneId> = None;
            for scene in sequence {
                let place = scene.and_then(|s| Some((s, graph.labels.get_mut(s.index())?)));
                let Some((scene, known)) = place else {
                    last = None;
                    continue;
                };
                match *known.get_or_insert_with(|| label(scene, cell)) {
                    Label::Passes => continue,
                    Label::Unknown => last = None,
                    Label::Fixed(_) | Label::Free { .. } => {
                        pairs.extend(last.filter(|b| *b != scene).map(|b| (b.min(scene), b.max(scene))));
                        last = Some(scene);
                    }
                }
            }
        }
        pairs.sort_unstable();
        for pair in pairs {
            match graph.weights.last_mut() {
                Some((known, weight)) if *known == pair => *weight += 1,
                _ => graph.weights.push((pair, 1)),
            }
        }
        let free = graph.labels.iter().enumerate().filter(|(_, l)| matches!(l, Some(Label::Free { .. })));
        graph.free = free.map(|(scene, _)| SceneId::nth(scene)).collect();
        graph.beside = graph.free.iter().map(|s| (*s, Vec::new())).collect();
        for ((a, b), weight) in &graph.weights {
            for (one, other) in [(a, b), (b, a)] {
                if let Some(list) = graph.beside.get_mut(one) {
                    list.push((*other, *weight));
                }
            }
        }
        graph
    }

    fn empty() -> Graph {
        Graph { labels: Vec::new(), weights: Vec::new(), free: Vec::new(), beside: FxHashMap::default() }
    }

    /// What a free scene follows or comes before, and how often.
    pub(super) fn beside(&self, scene: SceneId) -> &[(SceneId, u64)] {
        self.beside.get(&scene).map_or(&[], Vec::as_slice)
    }

    /// True for a scene that leaves the contact free.
    pub(super) fn is_free(&self, scene: SceneId) -> bool {
        matches!(self.label(scene), Label::Free { .. })
    }

    /// The pairs that some of these free scenes are in, each once.
    pub(super) fn pairs<'g>(&'g self, scenes: &'g [SceneId]) -> impl Iterator<Item = ((SceneId, SceneId), u64)> + 'g {
        let each = scenes.iter().flat_map(|a| self.beside(*a).iter().map(move |(b, w)| ((*a, *b), *w)));
        each.filter(|((a, b), _)| a < b || !self.is_free(*b))
    }

    /// Moves in the pairs that some of these free scenes are in.
    pub(super) fn cost(&self, scenes: &[SceneId], chosen: &BTreeMap<SceneId, bool>) -> u64 {
        let holds = |scene: SceneId| match self.label(scene) {
            Label::Fixed(on) => Some(on),
            Label::Free { rests } => Some(chosen.get(&scene).copied().unwrap_or(rests)),
            _ => None,
        };
        self.pairs(scenes).filter(|((a, b), _)| holds(*a) != holds(*b)).map(|(_, w)| w).sum()
    }

    /// Moves in pairs that no free scene is in.
    pub(super) fn fixed_moves(&self) -> u64 {
        let fixed = self.weights.iter().filter(|((a, b), _)| !self.is_free(*a) && !self.is_free(*b));
        fixed.filter(|((a, b), _)| self.label(*a) != self.label(*b)).map(|(_, w)| w).sum()
    }

    /// How a scene holds the contact.
    pub(super) fn label(&self, scene: SceneId) -> Label {
        self.labels.get(scene.index()).copied().flatten().unwrap_or(Label::Unknown)
    }

    /// The played scenes that leave it free, in order.
    pub(super) fn free(&self) -> Vec<SceneId> {
        self.free.clone()
    }

    /// Moves with every free scene at rest.
    pub(super) fn settled_moves(&self) -> u64 {
        self.moves(&BTreeMap::new())
    }

    /// Moves with free scenes as chosen; those not chosen rest.
    pub(super) fn moves(&self, chosen: &BTreeMap<SceneId, bool>) -> u64 {
        let holds = |scene: SceneId| match self.label(scene) {
            Label::Fixed(on) => Some(on),
            Label::Free { rests } => Some(chosen.get(&scene).copied().unwrap_or(rests)),
            _ => None,
        };
        self.weights.iter().filter(|((a, b), _)| holds(*a) != holds(*b)).map(|(_, w)| w).sum()
    }
}

/// How a scene's row holds a contact before anything is chosen.
pub(super) fn label(table: &Table, scene: SceneId, cell: ColumnId) -> Label {
    match (table.stored(scene, cell), table.idle(scene, cell)) {
        (Value::On, false) => Label::Fixed(true),
        (Value::Off, false) => Label::Fixed(false),
        (Value::On, true) => Label::Free { rests: true },
        (Value::Off, true) => Label::Free { rests: false },
        (Value::Stays | Value::Pulse, _) => Label::Passes,
        _ => Label::Unknown,
    }
}
