//! What the rules ask of the free cells of each scene: what each such cell may hold, and the formulas that are left when
//! all that is settled is answered.

use super::left::Left;
use super::logic::{Ask, Logic, Node, Truth};
use super::roam::Roam;
use super::rows::held;
use crate::book::Book;
use crate::fill::Preset;
use crate::ids::{ColumnId, SceneId};
use crate::settle::{CellKind, Table, Value};

/// A scene whose free cells are bound by rules.
pub struct Bound {
    /// The scene.
    pub scene: SceneId,
    /// The free cells that the rules ask for, each with what it may hold; what it holds now first.
    pub cells: Vec<(ColumnId, Vec<Value>)>,
    rules: Vec<Node>,
}

impl Bound {
    /// How many rules a row is not seen to keep. What is not sent keeps none that asks for it.
    pub fn breaks(&self, logic: &Logic, row: &dyn Fn(ColumnId) -> Value) -> usize {
        let answer = |index: usize| {
            logic.asks.get(index).map_or(Truth::Unknown, |ask| logic.answer(*ask, self.scene, &|cell| Some(row(cell))))
        };
        self.rules.iter().filter(|rule| rule.truth_by(&answer) != Truth::Yes).count()
    }
}

/// Every scene whose free cells decide whether a rule is kept, in the order of the scenes.
pub fn bound(book: &Book, table: &Table, presets: &[Preset], logic: &Logic) -> Vec<Bound> {
    if logic.rules.is_empty() {
        return Vec::new();
    }
    let left = Left::of(book, table, presets, logic);
    let roam = Roam { book, table, logic, left: &left };
    book.show.scenes.ids().filter_map(|scene| one(roam, scene)).collect()
}

fn one(roam: Roam<'_>, scene: SceneId) -> Option<Bound> {
    let Roam { table, logic, .. } = roam;
    let held = |cell| held(table, scene, cell);
    let mut rules = Vec::new();
    for rule in &logic.rules {
        let answer = |index: usize| logic.asks.get(index).map_or(Truth::Unknown, |a| roam.answer(*a, scene, &held));
        if rule.truth_by(&answer) != Truth::Free {
            continue;
        }
        let stands = roam.stands(rule, scene, &held).unwrap_or_default();
        let rule = match stands.is_empty() {
            true => rule.clone(),
            // Kept wherever the foot stands, if it can be; else somewhere.
            false => {
                let always = roam.always(rule, scene, &stands);
                let some = || Node::Some(stands.iter().map(|s| roam.under(rule, scene, s)).collect());
                if always.truth_by(&answer) == Truth::No { some() } else { always }
            }
        };
        rules.push(rule);
    }
    let mut cells: Vec<ColumnId> = Vec::new();
    for rule in &rules {
        rule.asks(&mut |i| cells.extend(logic.asks.get(i).and_then(|a| a.cell()).filter(|c| held(*c).is_none())));
    }
    cells.sort_unstable();
    cells.dedup();
    let cells: Vec<(ColumnId, Vec<Value>)> = cells.into_iter().map(|cell| (cell, values(roam, scene, cell))).collect();
    (!cells.is_empty()).then_some(Bound { scene, cells, rules })
}

/// What a free cell may hold, as far as the rules tell it apart: what nobody need type in, what was said, the rest.
fn values(roam: Roam<'_>, scene: SceneId, cell: ColumnId) -> Vec<Value> {
    let mut out = vec![roam.table.stored(scene, cell), roam.table.value(scene, cell)];
    let Some(column) = roam.table.cells.list.get(cell) else { return out };
    match column.kind {
        // Where nobody hears the device, no pulse is owed to a rule.
        CellKind::Contact(_) if column.pulses() => {}
        CellKind::Contact(_) => out.extend([Value::Off, Value::On]),
        _ => {
            for rule in &roam.logic.rules {
                out.extend(roam.values(rule, cell, Value::Stays).into_iter().map(|(value, _)| value));
            }
            let foot = roam.logic.asks.iter().any(|ask| matches!(ask, Ask::Foot(c) if *c == cell));
            out.extend(foot.then_some(Value::Foot));
        }
    }
    let mut seen = Vec::new();
    out.retain(|value| {
        !seen.contains(value) && {
            seen.push(*value);
            true
        }
    });
    out
}
