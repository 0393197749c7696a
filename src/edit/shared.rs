//! What many scenes share: the changes of layers and of the default that are worth a try.

use std::collections::BTreeSet;

use super::Block;
use super::cost::{Cost, Ground, Turn};
use super::least::{Bounds, Search};
use super::model::{Model, Stmt};
use super::write::has_default;
use crate::ids::{LayerId, SceneId};

/// So many layers and defaults change together at most; more would be counted, not tried.
pub(super) const TOGETHER: u32 = 2;
/// Of a book of more scenes, only what the wanted ones could say is tried.
const FEW_SCENES: usize = 500;

/// A change of what scenes share, and of what they say themselves.
pub(super) type Found = (Cost, Vec<(Block, Turn)>);

/// A least change that shares more, if one touches fewer statements than `best`.
pub(super) fn fewer(search: &mut Search<'_, '_>, best: u32) -> Option<Found> {
    let single = single(search);
    let mut found: Option<Found> = None;
    for together in 1..=TOGETHER {
        let mut best = found.as_ref().map_or(best, |(cost, _)| cost.touched);
        for shared in sets(&single, together) {
            if best <= together {
                break;
            }
            let mut ground = search.ground();
            ground.changed = true;
            shared.iter().for_each(|(block, turn)| turned(&search.model, &mut ground, *block, turn));
            let bounds = Bounds { most: best - 1 - together, open: true };
            let Some((cost, turns)) = search.least(&ground, bounds) else { continue };
            let cost = shared.iter().fold(cost, |cost, (_, turn)| cost + turn.cost(true));
            if cost.touched < best {
                best = cost.touched;
                let own = turns.into_iter().map(|(scene, turn)| (Block::Scene(scene), turn));
                found = Some((cost, own.chain(shared).collect()));
            }
        }
    }
    found
}

/// The single changes of what scenes share.
fn single(search: &mut Search<'_, '_>) -> Vec<(Block, Turn)> {
    let book = &search.goal.book;
    let show = &book.book.show;
    let scenes = || show.scenes.ids();
    let many = show.scenes.len() > FEW_SCENES;
    // A layer may also keep what would follow as it is.
    let mixed = show.scenes.iter().flat_map(|s| show.layers_of(s));
    let layers: BTreeSet<LayerId> = mixed.map(|(layer, _)| *layer).collect();
    let mut blocks: Vec<Block> = layers.into_iter().map(Block::Layer).collect();
    blocks.extend(has_default(book).then_some(Block::Default));
    let mut units: Vec<u32> = Vec::new();
    let wanted: Vec<SceneId> = scenes().filter(|id| search.is_wanted(*id)).collect();
    let others = scenes().filter(|id| !search.is_wanted(*id) && !show.is_pressed(*id));
    let all: Vec<SceneId> = if many { wanted } else { wanted.into_iter().chain(others).collect() };
    search.cut |= many;
    for scene in all {
        let more = search.could(scene);
        units.extend(more.into_iter().filter(|unit| !units.contains(unit)).collect::<Vec<_>>());
    }
    let mut out = Vec::new();
    for block in blocks {
        let stmts = search.model.block(block).len();
        let put = |unit: &u32| vec![*unit];
        out.extend((0..stmts).map(|at| (block, Turn { out: vec![at], put: Vec::new() })));
        for at in 0..stmts {
            out.extend(units.iter().map(|unit| (block, Turn { out: vec![at], put: put(unit) })));
        }
        out.extend(units.iter().map(|unit| (block, Turn { out: Vec::new(), put: put(unit) })));
    }
    out
}

/// All sets of so many single changes that do not meet; two of one block become one.
fn sets(single: &[(Block, Turn)], together: u32) -> Vec<Vec<(Block, Turn)>> {
    if together < 2 {
        return single.iter().map(|one| vec![one.clone()]).collect();
    }
    let mut out = Vec::new();
    for (at, (block, turn)) in single.iter().enumerate() {
        for (other, more) in single.iter().skip(at + 1) {
            if block != other {
                out.push(vec![(*block, turn.clone()), (*other, more.clone())]);
            } else if turn.out != more.out && turn.put != more.put {
                let both = |one: &[usize], two: &[usize]| [one, two].concat();
                let put = [turn.put.as_slice(), more.put.as_slice()].concat();
                out.push(vec![(*block, Turn { out: both(&turn.out, &more.out), put })]);
            }
        }
    }
    out
}

fn turned(model: &Model, ground: &mut Ground, block: Block, turn: &Turn) {
    let stmts = match block {
        Block::Default => &mut ground.default,
        Block::Layer(layer) => match ground.layers.get_mut(layer.index()) {
            Some(stmts) => stmts,
            None => return,
        },
        Block::Scene(_) => return,
    };
    let mut at = 0;
    stmts.retain(|_| {
        at += 1;
        !turn.out.contains(&(at - 1))
    });
    let known = |unit: &&u32| (**unit as usize) < model.units.len();
    stmts.extend(
        turn.put.iter().filter(known).map(|unit| Stmt { units: model.parts(unit).to_vec(), sayings: Vec::new() }),
    );
}
