//! Which scene derives from which, so that the text is short.
//!
//! What a scene says is what it must hold and its parent does not. Of where that does not matter, a scene is first taken
//! to hold the default, then what it came to inherit; each time the least arborescence is found anew, as long as that
//! makes the text shorter.

use super::branching::{self, NEVER};
use super::close;
use super::groups::{ANY, Groups, Said, Word};
use super::needs::Needs;

/// So many scenes are compared each with each; beyond, each with some.
pub(super) const EXACT: usize = 2000;
/// So often the scenes are laid out anew.
const ROUNDS: usize = 4;
/// A cost is this many of the small preferences, more than all of them together: a parent of a like name, from which
/// nothing is taken away.
const WHOLE: u32 = 16_384;
const NO_NAMESAKE: u32 = 2;
const NO_PARENT: u32 = 1;
const BYPASSES: u32 = 3;

/// A line of descent for all scenes.
pub(super) struct Descent {
    pub parents: Vec<Option<usize>>,
    /// What each scene comes to hold, a row a scene.
    pub held: Vec<u32>,
    /// Statements in all, before layers: a scene counts one, `from` one, each thing it says one.
    pub statements: usize,
    /// No choice of parents takes fewer.
    pub bound: usize,
}

/// All that costs are made of.
pub(super) struct Costs<'n> {
    pub needs: &'n Needs,
    weights: Vec<u32>,
    /// What takes something away.
    bypasses: Vec<bool>,
    outputs: Vec<bool>,
    /// Scenes that nothing may derive from: a rule speaks of all that do.
    pub barred: Vec<bool>,
    pub names: Vec<&'n str>,
}

impl<'n> Costs<'n> {
    pub(super) fn of(needs: &'n Needs, groups: &Groups<'_>, barred: Vec<bool>, names: Vec<&'n str>) -> Costs<'n> {
        let said = |(at, key): (usize, &u32)| Said { group: (at % needs.width.max(1)) as u16, key: *key };
        let keys = || needs.keys.iter().enumerate().map(said);
        let bypasses = keys().map(|said| groups.words(said).is_some_and(|w| matches!(w, [Word::Bypass(_)])));
        let outputs = (0..needs.width as u16).map(|group| groups.muted().contains(&group)).collect();
        let weights = keys().map(|said| groups.weight(said) as u32).collect();
        Costs { needs, weights, bypasses: bypasses.collect(), outputs, barred, names }
    }

    /// What a scene says that stands below these values. With `kindly` nothing is said over what does not matter above.
    pub(super) fn says(&self, above: &[u32], scene: usize, kindly: bool) -> u32 {
        let from = scene * self.needs.width;
        let weights = self.weights.get(from..from + self.needs.width).unwrap_or(&[]);
        let muted = self.needs.muted.get(scene) == Some(&true);
        let (mut sum, mut mute) = (0, 0);
        for (((need, has), weight), output) in self.needs.row(scene).iter().zip(above).zip(weights).zip(&self.outputs) {
            if *need != ANY && need != has && !(kindly && *has == ANY) {
                if muted && *output {
                    mute = 1;
                } else {
                    sum += weight;
                }
            }
        }
        sum + mute
    }

    /// How little a parent suits, where it costs no more than another.
    fn strange(&self, above: &[u32], parent: usize, scene: usize) -> u32 {
        let first = |at: usize| self.names.get(at).and_then(|name| name.split('-').next()).unwrap_or_default();
        let from = scene * self.needs.width;
        let bypasses = self.bypasses.get(from..from + self.needs.width).unwrap_or(&[]);
        let row = self.needs.row(scene).iter().zip(above).zip(bypasses);
        let takes = row.into_iter().any(|((need, has), bypasses)| *bypasses && need != has);
        u32::from(first(parent) != first(scene)) * NO_NAMESAKE + u32::from(takes) * BYPASSES
    }
}

/// Finds parents for all scenes.
pub(super) fn find(costs: &Costs<'_>) -> Descent {
    let needs = costs.needs;
    let exact = needs.len() <= EXACT;
    let full = |at: usize, key: u32, from: &[u32]| if key == ANY { from.get(at).copied().unwrap_or(ANY) } else { key };
    let mut held: Vec<u32> = Vec::with_capacity(needs.keys.len());
    for scene in 0..needs.len() {
        held.extend(needs.row(scene).iter().enumerate().map(|(at, key)| full(at, *key, &needs.root)));
    }
    let mut best: Option<Descent> = None;
    for _ in 0..if exact { ROUNDS } else { 1 } {
        let parents = if exact { exactly(costs, &held, false) } else { close::parents(costs, &held) };
        let found = laid(costs, parents);
        if best.as_ref().is_some_and(|best| best.statements <= found.statements) {
            break;
        }
        held.clone_from(&found.held);
        best = Some(found);
    }
    let mut found = best.unwrap_or_else(|| laid(costs, Vec::new()));
    found.bound = if exact { kindly(costs) } else { close::bound(costs) }.min(found.statements);
    found
}

/// The least arborescence over what each scene is taken to hold.
fn exactly(costs: &Costs<'_>, held: &[u32], kindly: bool) -> Vec<Option<usize>> {
    let needs = costs.needs;
    let count = needs.len();
    let from = branching::least(count, |from, to| {
        if from == count {
            return costs.says(&needs.root, to, false) * WHOLE + NO_PARENT;
        }
        if costs.barred.get(from) == Some(&true) {
            return NEVER;
        }
        let above = held.get(from * needs.width..(from + 1) * needs.width).unwrap_or(&[]);
        (1 + costs.says(above, to, kindly)) * WHOLE + costs.strange(above, from, to)
    });
    from.into_iter().map(|from| Some(from).filter(|from| *from < count)).collect()
}

/// No text says less: as if each scene held, where it does not matter, just what the next one wants.
fn kindly(costs: &Costs<'_>) -> usize {
    let needs = costs.needs;
    let parents = exactly(costs, &needs.keys, true);
    let said = parents.iter().enumerate().map(|(scene, parent)| match parent {
        Some(parent) => 1 + costs.says(needs.row(*parent), scene, true) as usize,
        None => costs.says(&needs.root, scene, false) as usize,
    });
    needs.len() + said.sum::<usize>()
}

/// What each scene comes to hold and says below these parents.
fn laid(costs: &Costs<'_>, parents: Vec<Option<usize>>) -> Descent {
    let needs = costs.needs;
    let width = needs.width;
    let mut held = needs.keys.clone();
    let mut statements = needs.len();
    let order = crate::book::scene::parents_first(parents.len(), |scene| parents.get(scene).copied().flatten());
    for scene in order {
        let parent = parents.get(scene).copied().flatten();
        let above = match parent {
            Some(parent) => held.get(parent * width..(parent + 1) * width).unwrap_or(&[]).to_vec(),
            None => needs.root.clone(),
        };
        statements += usize::from(parent.is_some()) + costs.says(&above, scene, false) as usize;
        for (slot, above) in held.iter_mut().skip(scene * width).take(width).zip(above) {
            if *slot == ANY {
                *slot = above;
            }
        }
    }
    Descent { parents, held, statements, bound: 0 }
}
