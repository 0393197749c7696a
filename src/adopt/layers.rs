//! Pieces that several scenes say alike, pulled out as layers where that makes the text shorter.
//!
//! Greedy: the piece that saves the most, then the next of what is left. Nothing here is said to be the least.

use std::collections::BTreeMap;

use super::groups::Said;

/// So many different scene bodies are looked at, the commonest first: each pair of them may share a piece.
const MOST_BODIES: usize = 120;
/// So many pieces are pulled out at most; fewer where there are many scenes to go through for each.
const MOST_PIECES: usize = 100;
const FEWER_PIECES: usize = 16;
const MANY_SCENES: usize = 4000;

/// A piece of scenes, and the scenes that mix it in, in order.
pub(super) struct Piece {
    pub says: Vec<Said>,
    pub by: Vec<usize>,
}

/// Scenes that say the same.
struct Alike {
    body: Vec<Said>,
    scenes: Vec<usize>,
}

/// Takes pieces out of the scenes' bodies, which are in order; `weigh` tells how many statements a saying is.
pub(super) fn pull(bodies: &mut [Vec<Said>], weigh: impl Fn(Said) -> usize) -> Vec<Piece> {
    let mut all: BTreeMap<&[Said], Vec<usize>> = BTreeMap::new();
    for (scene, body) in bodies.iter().enumerate() {
        all.entry(body).or_default().push(scene);
    }
    let mut alike: Vec<Alike> = all.into_iter().map(|(body, scenes)| Alike { body: body.to_vec(), scenes }).collect();
    let mut pieces = Vec::new();
    let most = if bodies.len() > MANY_SCENES { FEWER_PIECES } else { MOST_PIECES };
    while pieces.len() < most
        && let Some(says) = best(&alike, &weigh)
    {
        let mut by = Vec::new();
        for of in alike.iter_mut().filter(|of| holds(&of.body, &says)) {
            of.body.retain(|said| !says.contains(said));
            by.extend(&of.scenes);
        }
        by.sort_unstable();
        pieces.push(Piece { says, by });
    }
    for of in alike {
        for scene in of.scenes {
            if let Some(body) = bodies.get_mut(scene) {
                body.clone_from(&of.body);
            }
        }
    }
    pieces
}

/// How many statements a piece saves, mixed in so often: each scene says `with` instead of it, and it stands once.
pub(super) fn saves(weight: usize, uses: usize) -> usize {
    (weight * uses).saturating_sub(1 + weight + uses)
}

fn best(alike: &[Alike], weigh: &impl Fn(Said) -> usize) -> Option<Vec<Said>> {
    let weight = |says: &[Said]| says.iter().map(|said| weigh(*said)).sum::<usize>();
    let mut counted: BTreeMap<&[Said], usize> = BTreeMap::new();
    for of in alike.iter().filter(|of| weight(&of.body) > 1) {
        *counted.entry(&of.body).or_default() += of.scenes.len();
    }
    let mut common: Vec<(&[Said], usize)> = counted.into_iter().collect();
    common.sort_by_key(|(_, times)| std::cmp::Reverse(*times));
    common.truncate(MOST_BODIES);
    let mut tried: BTreeMap<Vec<Said>, usize> = BTreeMap::new();
    for (at, (one, _)) in common.iter().enumerate() {
        for (other, _) in common.iter().skip(at) {
            let shared: Vec<Said> = one.iter().filter(|said| other.contains(said)).copied().collect();
            if weight(&shared) > 1 && !tried.contains_key(&shared) {
                let uses = common.iter().filter(|(body, _)| holds(body, &shared)).map(|(_, times)| times).sum();
                let saved = saves(weight(&shared), uses);
                tried.insert(shared, saved);
            }
        }
    }
    let best = tried.into_iter().filter(|(_, saved)| *saved > 0);
    best.max_by_key(|(says, saved)| (*saved, says.len())).map(|(says, _)| says)
}

/// Both are in order.
fn holds(body: &[Said], says: &[Said]) -> bool {
    says.iter().all(|said| body.binary_search(said).is_ok())
}
