//! The scenes' bodies once their parents are chosen, and what they share pulled out.

use super::descent::{self, Costs};
use super::groups::{ANY, Groups, NOTHING, Said};
use super::layers::{self, Piece};
use super::needs::Needs;

/// Scenes with what each says itself.
pub(super) struct Shared {
    pub parents: Vec<Option<usize>>,
    pub bodies: Vec<Vec<Said>>,
    pub pieces: Vec<Piece>,
    /// Statements of scenes and layers; before layers; and what no choice of parents goes below, before them.
    pub statements: usize,
    pub before: usize,
    pub bound: usize,
}

/// What most scenes want and the board's default does not speak of: said once. Becomes what a scene holds from the start.
pub(super) fn default(needs: &mut Needs, groups: &Groups<'_>) -> Vec<Said> {
    let mut out = Vec::new();
    for group in 0..needs.width {
        if needs.spoken.get(group) == Some(&true) {
            continue;
        }
        let mut keys: Vec<u32> = (0..needs.len()).filter_map(|s| needs.row(s).get(group).copied()).collect();
        keys.retain(|key| *key != ANY);
        keys.sort_unstable();
        let runs = keys.chunk_by(|one, other| one == other);
        let Some(most) = runs.max_by_key(|run| (run.len(), run.first().map(|key| std::cmp::Reverse(*key)))) else {
            continue;
        };
        let (Some(key), Some(root)) = (most.first().copied(), needs.root.get_mut(group)) else { continue };
        let enough = if *root == NOTHING { most.len() > 1 } else { 2 * most.len() > keys.len() && most.len() > 2 };
        let said = Said { group: group as u16, key };
        if *root != key && enough && groups.words(said).is_some() {
            *root = key;
            out.push(said);
        }
    }
    out
}

/// Chooses parents, writes down what each scene says, and pulls out what several say alike.
pub(super) fn share(needs: &Needs, groups: &Groups<'_>, barred: Vec<bool>, names: Vec<&str>) -> Shared {
    let costs = Costs::of(needs, groups, barred, names);
    let found = descent::find(&costs);
    let mut bodies: Vec<Vec<Said>> = (0..needs.len()).map(|scene| body(needs, groups, &found, scene)).collect();
    let whole = bodies.clone();
    let mut pieces = layers::pull(&mut bodies, |said| groups.weight(said));
    come_back(&mut pieces, &mut bodies, &whole, &found.parents, |said| groups.weight(said));
    let weigh = |says: &[Said]| says.iter().map(|said| groups.weight(*said)).sum::<usize>();
    let layered: usize = pieces.iter().map(|piece| 1 + weigh(&piece.says) + piece.by.len()).sum();
    let parents = found.parents.iter().filter(|parent| parent.is_some()).count();
    let statements = needs.len() + parents + bodies.iter().map(|body| weigh(body)).sum::<usize>() + layered;
    Shared { parents: found.parents, bodies, pieces, statements, before: found.statements, bound: found.bound }
}

fn body(needs: &Needs, groups: &Groups<'_>, found: &descent::Descent, scene: usize) -> Vec<Said> {
    let width = needs.width;
    let parent = found.parents.get(scene).copied().flatten();
    let above = match parent {
        Some(parent) => found.held.get(parent * width..(parent + 1) * width).unwrap_or(&[]),
        None => &needs.root,
    };
    let muted = needs.muted.get(scene) == Some(&true);
    let mut body = Vec::new();
    let mut mute = false;
    for (group, (need, has)) in needs.row(scene).iter().zip(above).enumerate() {
        if *need == ANY || need == has {
            continue;
        }
        if muted && groups.muted().contains(&(group as u16)) {
            mute = true;
        } else {
            body.push(Said { group: group as u16, key: *need });
        }
    }
    body.extend(mute.then_some(Said::MUTE));
    body
}

/// A layer that an ancestor mixed in already, and that something overrode since, is said again in the scene itself: read
/// twice on the way down, it would be taken for a slip.
fn come_back(
    pieces: &mut Vec<Piece>,
    bodies: &mut [Vec<Said>],
    whole: &[Vec<Said>],
    parents: &[Option<usize>],
    weigh: impl Fn(Said) -> usize,
) {
    let order = crate::book::scene::parents_first(parents.len(), |scene: usize| parents.get(scene).copied().flatten());
    for piece in pieces.iter_mut() {
        let mut above = vec![false; parents.len()];
        let mut kept = Vec::new();
        let uses: std::collections::BTreeSet<usize> = piece.by.iter().copied().collect();
        for scene in order.iter().copied() {
            let inherited = parents.get(scene).copied().flatten().and_then(|p| above.get(p)).copied().unwrap_or(false);
            let uses = uses.contains(&scene);
            if uses && !inherited {
                kept.push(scene);
            }
            if let Some(slot) = above.get_mut(scene) {
                *slot = inherited || uses;
            }
        }
        kept.sort_unstable();
        let weight = piece.says.iter().map(|said| weigh(*said)).sum();
        if layers::saves(weight, kept.len()) == 0 {
            kept.clear();
        }
        for scene in piece.by.iter().filter(|scene| kept.binary_search(scene).is_err()) {
            let (Some(body), Some(whole)) = (bodies.get_mut(*scene), whole.get(*scene)) else { continue };
            let says = whole.iter().filter(|said| body.contains(said) || piece.says.contains(said)).copied();
            *body = says.collect();
        }
        piece.by = kept;
    }
    pieces.retain(|piece| !piece.by.is_empty());
}
