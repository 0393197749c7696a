//! Both memories over the new board's columns, and what it takes to turn one stored row into another.

use rustc_hash::FxHashMap;

use super::stored::{Column, Store, columns, label, memory};
use crate::Compiled;
use crate::book::Slot;
use crate::settle::Value;
use crate::study::rules::{Ask, Node, Truth};

/// What the switcher holds and what it must hold.
pub struct Memory<'c> {
    pub old: &'c Compiled,
    pub new: &'c Compiled,
    /// The new board's stored columns.
    pub columns: Vec<Column>,
    /// For each of them: the old board's.
    across: Vec<Option<Column>>,
    /// The old memory, in slot order: slot, scene.
    pub holds: Vec<(Slot, u32)>,
    /// The new memory, in slot order.
    pub wants: Vec<(Slot, u32)>,
    /// The cells that rules ask about.
    asked: Vec<u16>,
    /// Both boards have the same cells.
    plain: bool,
    /// The unit holds the old table to the letter; else its free cells may hold anything, as they do when they were
    /// left as they were on an earlier tour.
    exact: bool,
}

impl<'c> Memory<'c> {
    /// Both memories.
    pub fn of(old: &'c Compiled, new: &'c Compiled, exact: bool) -> Memory<'c> {
        let (left, right) = (columns(old), columns(new));
        let at: FxHashMap<_, Column> = left.iter().map(|c| (c.wire, *c)).collect();
        let plain = old.table.cells.len() == new.table.cells.len()
            && left.len() == right.len()
            && left.iter().zip(&right).all(|(a, b)| a == b);
        let slots = |c: &Compiled| memory(c).iter().map(|s| (s.slot, s.scene)).collect();
        Memory {
            across: right.iter().map(|c| at.get(&c.wire).copied()).collect(),
            columns: right,
            holds: slots(old),
            wants: slots(new),
            asked: asked(new),
            plain,
            exact,
            old,
            new,
        }
    }

    /// True when a slot's old and new rows hold the same in boards of the same cells, whatever is free. Quick, and
    /// it may say no of rows that are the same.
    pub fn plainly_same(&self, was: Option<u32>, now: u32) -> bool {
        let Some(was) = was.filter(|_| self.plain) else { return false };
        let (before, after) = self.labels(Some(was), now);
        self.old.table.row(was) == self.new.table.row(now)
            && (before == after || after.is_none())
            && (self.exact
                || self.columns.iter().all(|c| self.known(was, c.cell) || self.new.table.is_free(now, c.cell)))
    }

    /// What an old scene's row holds in each of the new columns; None where the old board has no such cell.
    pub fn held(&self, scene: Option<u32>) -> Vec<Option<Store>> {
        let row = scene.map(|s| self.old.table.row(s));
        let one = |column: &Option<Column>| {
            let (column, scene) = (column.as_ref()?, scene?);
            row?.get(column.cell as usize).map(|v| column.store(*v)).filter(|_| self.known(scene, column.cell))
        };
        self.across.iter().map(one).collect()
    }

    /// The value stored in an old scene's row, as its own table has it, with its cell there.
    pub fn was(&self, scene: u32, column: usize) -> Option<(u16, Value)> {
        let from = self.across.get(column).copied().flatten()?;
        self.known(scene, from.cell).then(|| (from.cell, self.old.table.value(scene, from.cell)))
    }

    /// True when the unit is sure to hold what the old table says.
    fn known(&self, scene: u32, cell: u16) -> bool {
        self.exact || !self.old.table.is_free(scene, cell)
    }

    /// What a new scene's row must hold: None where it does not matter or is not known.
    pub fn wanted(&self, scene: u32) -> Vec<Option<Store>> {
        let one = |column: &Column| {
            let value = column.store(self.new.table.value(scene, column.cell));
            (value != Store::Unknown && !self.new.table.is_free(scene, column.cell)).then_some(value)
        };
        self.columns.iter().map(one).collect()
    }

    /// The columns to set so that a row that holds `held` becomes the new scene's, in board order.
    pub fn turn(&self, held: &[Option<Store>], wanted: &[Option<Store>], scene: u32) -> Vec<usize> {
        let differs = |(at, (is, want)): (usize, (&Option<Store>, &Option<Store>))| {
            want.is_some_and(|want| *is != Some(want)).then_some(at)
        };
        let mut edits: Vec<usize> = held.iter().zip(wanted).enumerate().filter_map(differs).collect();
        if !self.asked.is_empty() {
            edits.extend(self.for_the_rules(held, scene));
            edits.sort_unstable();
        }
        edits
    }

    /// How many cells that takes.
    pub fn distance(&self, held: &[Option<Store>], wanted: &[Option<Store>], scene: u32) -> u32 {
        let differs = held.iter().zip(wanted).filter(|(is, want)| want.is_some() && is != want).count();
        let ruled = if !self.asked.is_empty() { self.for_the_rules(held, scene).len() } else { 0 };
        (differs + ruled) as u32
    }

    /// The fewest free cells that must be set to the new book's own choice, so that its rules hold.
    fn for_the_rules(&self, held: &[Option<Store>], scene: u32) -> Vec<usize> {
        let free = |at: &usize| {
            let Some(column) = self.columns.get(*at) else { return false };
            let choice = column.store(self.new.table.value(scene, column.cell));
            self.new.table.is_free(scene, column.cell) && held.get(*at).copied().flatten() != Some(choice)
        };
        let open: Vec<usize> = (0..self.columns.len()).filter(free).collect();
        if open.is_empty() {
            return open;
        }
        let asked = |at: &usize| self.columns.get(*at).is_some_and(|c| self.asked.contains(&c.cell));
        let open: Vec<usize> = open.into_iter().filter(asked).collect();
        // A rule that the book's own row breaks, or that nobody can judge, binds nothing.
        let bound = self.bad(scene, held, &[]);
        let breaks = |left: &[usize]| self.bad(scene, held, left).iter().any(|rule| !bound.contains(rule));
        if !breaks(&open) {
            return Vec::new();
        }
        // Few cells are free and asked about; where they are many, the book's own choice is taken whole.
        for count in 1..=open.len().min(3) {
            let keeps = |set: &Vec<usize>| {
                let left: Vec<usize> = open.iter().copied().filter(|at| !set.contains(at)).collect();
                !breaks(&left)
            };
            if let Some(set) = subsets(&open, count).into_iter().find(keeps) {
                return set;
            }
        }
        open
    }

    /// The rules that do not hold when the columns in `left` keep what is stored and all others hold the book's choice.
    fn bad(&self, scene: u32, held: &[Option<Store>], left: &[usize]) -> Vec<usize> {
        let value = |cell: u16| {
            let kept = left.iter().find(|at| self.columns.get(**at).is_some_and(|c| c.cell == cell));
            Some(match kept.and_then(|at| Some((self.columns.get(*at)?, held.get(*at).copied().flatten()))) {
                Some((column, Some(store))) => column.value(store),
                Some((_, None)) => Value::Unknown,
                None => self.new.table.value(scene, cell),
            })
        };
        let logic = &self.new.rules.logic;
        let answers = logic.answers(scene, &value);
        let bad = |(_, node): &(usize, &Node)| matches!(node.truth(&answers), Truth::No | Truth::Unknown);
        logic.rules.iter().enumerate().filter(bad).map(|(at, _)| at).collect()
    }

    /// The letters that the display shows for an old and a new scene.
    pub fn labels(&self, old: Option<u32>, new: u32) -> (Option<&'c str>, Option<&'c str>) {
        (old.and_then(|s| label(self.old, s)), label(self.new, new))
    }
}

/// The cells that some rule asks about.
fn asked(new: &Compiled) -> Vec<u16> {
    let logic = &new.rules.logic;
    let mut out = Vec::new();
    for rule in &logic.rules {
        rule.asks(&mut |ask| {
            if let Some(Ask::Is(cell, _) | Ask::AtLeast(cell, _) | Ask::Foot(cell)) = logic.asks.get(ask) {
                out.push(*cell);
            }
        });
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// All sets of `count` out of a list.
fn subsets(list: &[usize], count: usize) -> Vec<Vec<usize>> {
    match (count, list.split_first()) {
        (0, _) => vec![Vec::new()],
        (_, None) => Vec::new(),
        (_, Some((first, rest))) => {
            let mut out: Vec<Vec<usize>> = subsets(rest, count - 1);
            out.iter_mut().for_each(|set| set.insert(0, *first));
            out.extend(subsets(rest, count));
            out
        }
    }
}
