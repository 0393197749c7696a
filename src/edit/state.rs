//! What a scene hands on to those that come from it, for some columns: the statements that hold, and what was touched.

use super::goal::Goal;
use super::model::{Model, Stmt};
use crate::ids::SceneId;
use crate::settle::Value;

/// See the invariants: a statement is live when no statement of a higher rank, live or not, touches any of its cells.
#[derive(Clone, PartialEq, Eq, Hash, Default, Debug)]
pub(super) struct State {
    pub touched: u64,
    /// Units, sorted.
    pub live: Vec<u32>,
}

impl State {
    /// The state below a scene that says `own` and mixes `layers` in.
    pub(super) fn below<'s>(
        &self,
        model: &Model,
        own: impl Iterator<Item = u32> + Clone,
        layers: impl Iterator<Item = &'s Stmt> + Clone,
    ) -> State {
        let own_mask = own.clone().fold(0, |mask, unit| mask | model.mask_of(unit));
        let upper = own_mask | model.mask(layers.clone());
        let kept = self.live.iter().copied().filter(|u| model.mask_of(*u) & upper == 0);
        let mixed = layers.flat_map(|l| l.units.iter().copied()).filter(|u| model.mask_of(*u) & own_mask == 0);
        let mut live: Vec<u32> = kept.chain(mixed).chain(own).collect();
        live.sort_unstable();
        live.dedup();
        State { touched: self.touched | upper, live }
    }

    /// True when a row with these statements, the default below them, holds all that it must.
    pub(super) fn fits(&self, goal: &Goal<'_>, model: &Model, default: &[Stmt], scene: SceneId) -> bool {
        model.columns.iter().enumerate().all(|(at, cell)| {
            let held = goal.held(scene, *cell);
            match self.says(goal, model, default, scene, at) {
                Ok(value) => held.is_none() || held == Some(value),
                Err(Clash) => false,
            }
        })
    }

    fn says(
        &self,
        goal: &Goal<'_>,
        model: &Model,
        default: &[Stmt],
        scene: SceneId,
        at: usize,
    ) -> Result<Value, Clash> {
        let says = |unit: u32| {
            let unit = model.units.get(unit as usize)?;
            unit.values.iter().find(|(column, _)| *column == at).map(|(_, value)| *value)
        };
        let one = |mut values: Box<dyn Iterator<Item = Value> + '_>| {
            let Some(first) = values.next() else { return Ok(None) };
            if values.all(|v| v == first) { Ok(Some(first)) } else { Err(Clash) }
        };
        if let Some(value) = one(Box::new(self.live.iter().filter_map(|u| says(*u))))? {
            return Ok(value);
        }
        let lower = default.iter().flat_map(|s| s.units.iter().copied());
        let lower = lower.filter(|u| model.mask_of(*u) & self.touched == 0).filter_map(says);
        if let Some(value) = one(Box::new(lower))? {
            return Ok(value);
        }
        let Some(cell) = model.columns.get(at).copied() else { return Ok(Value::Unknown) };
        Ok(match goal.book.table.cells.list.get(cell) {
            Some(column) if column.holds_unsaid() => column.unsaid,
            Some(column) if goal.is_free(scene, cell) => column.rest,
            Some(column) if column.tempo => {
                goal.book.table.cells.played(&goal.book.book, scene, cell, |c| goal.value(scene, c))
            }
            _ => Value::Unknown,
        })
    }
}

/// Two statements that hold put different values in one column.
struct Clash;
