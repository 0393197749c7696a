//! Other ways to the same: a change where the thing is said now, or at the scene's own block alone, whatever follows it.

use std::collections::BTreeMap;

use super::goal::Goal;
use super::moved::{Moved, besides};
use super::options::style;
use super::plan::{Change, Put, put};
use super::{Block, Wanted, written};
use crate::driver;
use crate::ids::SceneId;
use crate::settle::why::{Rank, Reason, reasons};
use crate::syntax::edit::Edit;

/// So many other ways are tried: the book is compiled for each.
const MOST: usize = 4;
/// In larger books, in cells, none is.
const LARGEST: usize = 400_000;

/// A change that gives what is wanted, and more.
pub struct Offer {
    /// The block where it is said.
    pub block: Block,
    /// What changes.
    pub changes: Vec<Change>,
    /// The same as edits.
    pub edits: Vec<Edit>,
    /// The texts after it, by the numbers of the files.
    pub texts: BTreeMap<u32, String>,
    /// What else would move.
    pub follows: Vec<Moved>,
}

/// Other ways than `made`, where what is wanted is one thing in one scene.
pub(super) fn offers(goal: &Goal<'_>, made: &[Change]) -> Vec<Offer> {
    let table = &goal.book.table;
    let mut scenes: Vec<SceneId> = goal.changing.iter().map(|(_, w)| w.scene).collect();
    scenes.dedup();
    let [scene] = *scenes.as_slice() else { return Vec::new() };
    if goal.book.book.show.scenes.len() * table.cells.len() > LARGEST {
        return Vec::new();
    }
    let Some(said) = statement(goal) else { return Vec::new() };
    let found = bearing(goal, scene);
    let mut blocks = vec![Block::Scene(scene)];
    for reason in &found {
        let block = block_of(reason);
        if !blocks.contains(&block) {
            blocks.push(block);
        }
    }
    let mut out: Vec<Offer> = Vec::new();
    for block in blocks.into_iter().take(MOST + 1) {
        let changes = changes(&found, scene, block, said);
        if changes.as_slice() != made {
            // Of two that do the same there is nothing to choose.
            let other = |offer: &Offer| block != Block::Scene(scene) || !offer.follows.is_empty();
            out.extend(tried(goal, block, changes).filter(other));
        }
    }
    out
}

/// The change of the scene's own block alone.
pub(super) fn own(goal: &Goal<'_>) -> Option<Offer> {
    let scene = goal.changing.first()?.1.scene;
    let said = statement(goal)?;
    let block = Block::Scene(scene);
    tried(goal, block, changes(&bearing(goal, scene), scene, block, said))
}

/// The one statement that gives all that is wanted; None where it takes several.
fn statement(goal: &Goal<'_>) -> Option<Put> {
    let (_, first) = goal.changing.first()?;
    let mut model = super::model::groups(goal).ok()?;
    let (_, model) = if model.len() == 1 { model.first_mut()? } else { return None };
    let units = super::options::agreeing(goal, model, first.scene);
    let found = bearing(goal, first.scene);
    let now = found.iter().find(|r| r.live).and_then(|r| goal.book.book.show.sayings.get(r.saying));
    let covers = |unit: &u32| {
        let unit = model.units.get(*unit as usize);
        let holds = |w: &Wanted| {
            unit.is_some_and(|u| {
                u.values.iter().any(|(at, v)| model.columns.get(*at) == Some(&w.cell) && *v == w.value)
            })
        };
        goal.changing.iter().all(|(_, w)| holds(w))
    };
    let best = units.into_iter().filter(covers).filter_map(|unit| model.units.get(unit as usize));
    best.min_by_key(|unit| style(goal, unit.what, now.map(|s| s.what))).map(|unit| put(goal, unit.what))
}

/// Every statement that bears on a wanted cell of the scene, each once, the highest rank first.
fn bearing(goal: &Goal<'_>, scene: SceneId) -> Vec<Reason> {
    let mut out: Vec<Reason> = Vec::new();
    for (_, one) in goal.changing.iter().filter(|(_, w)| w.scene == scene) {
        for reason in reasons(&goal.book.book, &goal.book.table, scene, one.cell) {
            // What a song says of a tempo is no statement of a scene: none is taken out for it.
            let song = matches!(reason.rank, Rank::Song(_));
            if !song && !out.iter().any(|known| known.saying == reason.saying) {
                out.push(reason);
            }
        }
    }
    out
}

fn block_of(reason: &Reason) -> Block {
    match reason.rank {
        // None of these: `bearing` leaves them out.
        Rank::Song(_) => Block::Default,
        Rank::Own(id) => Block::Scene(id),
        Rank::Layer(layer, _) => Block::Layer(layer),
        Rank::Default => Block::Default,
    }
}

/// The statement at `block`, in place of those about the same; what stands above it goes.
fn changes(found: &[Reason], scene: SceneId, block: Block, said: Put) -> Vec<Change> {
    let mut out: BTreeMap<Block, Change> = BTreeMap::new();
    let mut above = true;
    for reason in found {
        let here = block_of(reason);
        above &= here != block;
        if above || here == block {
            let change = out.entry(here).or_insert(Change { block: here, out: Vec::new(), put: Vec::new() });
            change.out.push(vec![reason.saying]);
        }
    }
    // Nothing is said of it anywhere: the scene's own block is no place above any other.
    if block == Block::Scene(scene) {
        out.retain(|known, _| *known == block);
    }
    out.entry(block).or_insert(Change { block, out: Vec::new(), put: Vec::new() }).put.push(said);
    out.into_values().collect()
}

/// A change, compiled; None where it is none.
fn tried(goal: &Goal<'_>, block: Block, changes: Vec<Change>) -> Option<Offer> {
    let (edits, texts) = written(goal.book, &changes).ok()?;
    let after = driver::compile_changed(goal.book, &texts);
    let given = |w: &Wanted| after.table.value(w.scene, w.cell) == w.value;
    if after.errors() > 0 || !goal.changing.iter().all(|(_, w)| given(w)) {
        return None;
    }
    let follows = besides(goal, &after);
    Some(Offer { block, changes, edits, texts, follows })
}
