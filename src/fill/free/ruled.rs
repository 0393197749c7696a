//! Scenes whose free cells are bound by rules: every choice that breaks the fewest, the nearest to what is settled first.

use std::collections::BTreeMap;

use crate::ids::{ColumnId, SceneId};
use crate::settle::Value;

/// So many choices for the free cells of one scene are looked at; of more, only those near to what is settled.
const MOST_CHOICES: usize = 1 << 14;

/// How many rules a scene breaks when its cells hold these values.
pub type Breaks<'r> = dyn Fn(&dyn Fn(ColumnId) -> Value) -> usize + 'r;

/// A scene, its free cells that rules ask for, each with what it may hold (what is settled first), and the judge.
pub struct Ruled<'r> {
    /// The scene.
    pub scene: SceneId,
    /// The cells.
    pub cells: Vec<(ColumnId, Vec<Value>)>,
    /// The judge.
    pub breaks: Box<Breaks<'r>>,
}

/// What may stand in a scene's free contacts: each pattern with what the other free cells hold then, the nearest first.
#[derive(Debug)]
pub(super) struct Allowed {
    /// The contacts.
    pub cells: Vec<ColumnId>,
    /// The patterns.
    pub patterns: Vec<Vec<bool>>,
    /// For each pattern: the cells that are no contacts.
    pub others: Vec<Vec<(ColumnId, Value)>>,
    /// Every choice was looked at.
    pub whole: bool,
}

impl Ruled<'_> {
    /// Looks at the choices. None where the rules are kept whatever is chosen.
    pub(super) fn allowed(&self, settled: &dyn Fn(ColumnId) -> Value) -> Option<Allowed> {
        let (choices, whole) = self.choices();
        let mut least = usize::MAX;
        let mut kept: Vec<&Vec<usize>> = Vec::new();
        let mut all = true;
        for choice in &choices {
            let row = |cell: ColumnId| self.chosen(choice, cell).unwrap_or_else(|| settled(cell));
            let breaks = (self.breaks)(&row);
            all &= breaks == 0;
            if breaks < least {
                (least, kept) = (breaks, Vec::new());
            }
            if breaks == least {
                kept.push(choice);
            }
        }
        if all && whole {
            return None;
        }
        let contact = |values: &[Value]| values.contains(&Value::On);
        let (contacts, others): (Vec<_>, Vec<_>) = self.cells.iter().partition(|(_, values)| contact(values));
        let mut known: BTreeMap<Vec<bool>, ()> = BTreeMap::new();
        let mut out =
            Allowed { cells: contacts.iter().map(|(c, _)| *c).collect(), patterns: vec![], others: vec![], whole };
        for choice in kept {
            let pattern: Vec<bool> = out.cells.iter().map(|c| self.chosen(choice, *c) == Some(Value::On)).collect();
            if known.insert(pattern.clone(), ()).is_none() {
                out.patterns.push(pattern);
                out.others.push(others.iter().filter_map(|(c, _)| Some((*c, self.chosen(choice, *c)?))).collect());
            }
        }
        Some(out)
    }

    fn chosen(&self, choice: &[usize], cell: ColumnId) -> Option<Value> {
        let at = self.cells.iter().position(|(c, _)| *c == cell)?;
        self.cells.get(at)?.1.get(*choice.get(at)?).copied()
    }

    /// Choices as places in the cells' values, by how many cells are not as settled; and whether these are all.
    fn choices(&self) -> (Vec<Vec<usize>>, bool) {
        let mut out = vec![vec![0; self.cells.len()]];
        let mut from = 0;
        // Each round changes one more cell, behind the last one that was changed.
        for _ in 0..self.cells.len() {
            let to = out.len();
            for at in from..to {
                let Some(choice) = out.get(at).cloned() else { continue };
                let behind = choice.iter().rposition(|c| *c > 0).map_or(0, |last| last + 1);
                for (cell, (_, values)) in self.cells.iter().enumerate().skip(behind) {
                    for value in 1..values.len() {
                        if out.len() >= MOST_CHOICES {
                            return (out, false);
                        }
                        let mut next = choice.clone();
                        if let Some(slot) = next.get_mut(cell) {
                            *slot = value;
                        }
                        out.push(next);
                    }
                }
            }
            from = to;
        }
        (out, true)
    }
}
