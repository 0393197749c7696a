//! The least change, group by group: the scenes' own first, what they share where that touches fewer.

use std::collections::BTreeMap;

use super::cost::Turn;
use super::goal::Goal;
use super::least::{Bounds, Search};
use super::model::groups;
use super::shared::{TOGETHER, fewer};
use super::{Block, Refusal};
use crate::book::{Amount, What};
use crate::ids::SayingId;

/// A statement to write.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Put {
    /// What it says.
    pub what: What,
    /// The amount in it, where one was given.
    pub said: Option<Amount>,
}

/// What changes in one block.
#[derive(Clone, PartialEq, Debug)]
pub struct Change {
    /// The block.
    pub block: Block,
    /// Statements that go, each by its sayings.
    pub out: Vec<Vec<SayingId>>,
    /// Statements that come.
    pub put: Vec<Put>,
}

/// A change of the text.
pub(super) struct Plan {
    pub changes: Vec<Change>,
    pub touched: u32,
    pub bound: u32,
}

/// The least change that gives what is wanted.
pub(super) fn least(goal: &Goal<'_>) -> Result<Plan, Vec<Refusal>> {
    let mut refused = Vec::new();
    let (mut touched, mut bound) = (0, 0);
    let mut changes: BTreeMap<Block, Change> = BTreeMap::new();
    for (members, model) in groups(goal)? {
        let mut search = Search::new(goal, model);
        let ground = search.ground();
        let Some((mut cost, turns)) = search.least(&ground, Bounds { most: u32::MAX, open: false }) else {
            refused.push(why_not(goal, &mut search, members));
            continue;
        };
        let mut turns: Vec<(Block, Turn)> = turns.into_iter().map(|(s, turn)| (Block::Scene(s), turn)).collect();
        if cost.touched > 1 {
            if let Some((less, own)) = search.least(&ground, Bounds { most: cost.touched, open: true })
                && less < cost
            {
                turns = own.into_iter().map(|(s, turn)| (Block::Scene(s), turn)).collect();
                cost = less;
            }
            if let Some((less, shared)) = fewer(&mut search, cost.touched) {
                (cost, turns) = (less, shared);
            }
        }
        touched += cost.touched;
        bound += if search.cut { cost.touched.min(1) } else { cost.touched.min(TOGETHER + 1) };
        for (block, turn) in turns {
            let change = changes.entry(block).or_insert(Change { block, out: Vec::new(), put: Vec::new() });
            let stmts = search.model.block(block);
            change.out.extend(turn.out.iter().filter_map(|at| Some(stmts.get(*at)?.sayings.clone())));
            let units = turn.put.iter().filter_map(|unit| search.model.units.get(*unit as usize));
            change.put.extend(units.map(|unit| put(goal, unit.what)));
        }
    }
    if refused.is_empty() {
        Ok(Plan { changes: changes.into_values().collect(), touched, bound })
    } else {
        Err(refused)
    }
}

/// A statement, with the amount in it that was given.
pub(super) fn put(goal: &Goal<'_>, what: What) -> Put {
    Put { what, said: goal.said.get(&what).copied() }
}

fn why_not(goal: &Goal<'_>, search: &mut Search<'_, '_>, members: Vec<usize>) -> Refusal {
    for (at, one) in goal.changing.iter().filter(|(at, _)| members.contains(at)) {
        let could = search.could(one.scene);
        let column = search.model.columns.iter().position(|c| *c == one.cell);
        let says = |unit: &u32| {
            let unit = search.model.units.get(*unit as usize);
            unit.is_some_and(|u| u.values.iter().any(|(at, value)| Some(*at) == column && *value == one.value))
        };
        if !could.iter().any(says) {
            return Refusal::CannotHold(*at);
        }
    }
    Refusal::NoWay(members)
}
