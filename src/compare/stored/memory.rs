//! Both memories over the new board's columns, and what it takes to turn one stored row into another.

use rustc_hash::FxHashMap;

use super::{Column, Store, Wire, columns, label, memory};
use crate::Compiled;
use crate::book::Slot;
use crate::ids::{ColumnId, SceneId};
use crate::settle::Value;
use crate::study::rules::{Node, Truth};

/// What a slot holds.
#[derive(Clone)]
pub struct Held {
    /// The old scene that it holds, or that was stored there first; None in an empty slot.
    scene: Option<SceneId>,
    /// For each column its value; None where nothing is sure.
    cells: Vec<Option<Store>>,
}

impl Held {
    /// What a slot holds once a scene was written there, whatever its free cells hold.
    pub fn written(wanted: &Wanted) -> Held {
        Held { scene: None, cells: wanted.cells.clone() }
    }

    /// Sets cells.
    pub fn set(&mut self, edits: &[(usize, Store)]) {
        for (at, store) in edits {
            if let Some(cell) = self.cells.get_mut(*at) {
                *cell = Some(store.clone());
            }
        }
    }

    /// What the slot holds, and where that is not sure what the old table says: rules over free cells go by that.
    fn believed(&self, memory: &Memory<'_>, column: usize) -> Option<Store> {
        let says = || {
            let from = memory.across.get(column)?.as_ref()?;
            Some(from.store(memory.old.table.stored(self.scene?, from.cell)))
        };
        self.cells.get(column).cloned().flatten().or_else(says)
    }
}

/// What a slot must hold for a scene of the new book.
pub struct Wanted {
    /// The scene.
    pub scene: SceneId,
    /// For each column its value; None where it does not matter or is not known.
    pub cells: Vec<Option<Store>>,
    /// Free columns that rules ask about.
    open: Vec<usize>,
    /// The rules that these decide.
    rules: Vec<usize>,
}

/// What the switcher holds and what it must hold.
pub struct Memory<'c> {
    pub old: &'c Compiled,
    pub new: &'c Compiled,
    /// The new board's stored columns.
    pub columns: Vec<Column>,
    /// For each of them: the old board's.
    across: Vec<Option<Column>>,
    /// The old memory, in slot order: slot, scene.
    pub holds: Vec<(Slot, SceneId)>,
    /// The new memory, in slot order.
    pub wants: Vec<(Slot, SceneId)>,
    /// The cells that rules ask about.
    asked: Vec<ColumnId>,
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
        let at: FxHashMap<_, &Column> = left.iter().map(|c| (c.wire, c)).collect();
        let plain = old.table.cells.len() == new.table.cells.len()
            && left.len() == right.len()
            && left.iter().zip(&right).all(|(a, b)| a == b);
        let slots = |c: &Compiled| memory(c).iter().map(|s| (s.slot, s.scene)).collect();
        Memory {
            across: right.iter().map(|c| at.get(&c.wire).map(|c| (*c).clone())).collect(),
            columns: right,
            holds: slots(old),
            wants: slots(new),
            asked: new.rules().logic.asked(),
            plain,
            exact,
            old,
            new,
        }
    }

    /// True when a slot's old and new rows hold the same in boards of the same cells, whatever is free. Quick, and
    /// it may say no of rows that are the same.
    pub fn plainly_same(&self, was: Option<SceneId>, now: SceneId) -> bool {
        let Some(was) = was.filter(|_| self.plain) else { return false };
        let (before, after) = self.labels(Some(was), now);
        let (old, new) = (&self.old.table, &self.new.table);
        let stored = |c: &Column| c.store(old.stored(was, c.cell)) == c.store(new.stored(now, c.cell));
        old.row(was) == new.row(now)
            // A pulse is decided by the ways in, not by the row.
            && (old.as_settled() && new.as_settled() || self.columns.iter().all(stored))
            // A rule may want another value in a cell that is free.
            && !self.asked.iter().any(|cell| new.is_free(now, *cell))
            && (before == after || after.is_none())
            // What nobody hears may hold anything; where the unit is known to the letter, what an empty preset has.
            && self.old.table.idle_row(was).zip(self.new.table.idle_row(now)).all(|(a, b)| a & !b == 0)
    }

    /// The old scene that a slot holds.
    pub fn holds_in(&self, slot: Slot) -> Option<SceneId> {
        let at = self.holds.binary_search_by_key(&slot, |(slot, _)| *slot).ok()?;
        self.holds.get(at).map(|(_, scene)| *scene)
    }

    /// What an old scene's row holds in each of the new columns. A slot without one, and a column that the old board
    /// lacks, hold what an empty preset has where the unit is known to the letter; else nothing is sure.
    pub fn held(&self, scene: Option<SceneId>) -> Held {
        let table = &self.old.table;
        let one = |(was, column): (&Option<Column>, &Column)| match (was, scene) {
            (Some(was), Some(scene)) => self.known(scene, was.cell).then(|| was.store(table.stored(scene, was.cell))),
            (Some(was), None) => table.empty(was.cell).filter(|_| self.exact).map(|empty| was.store(empty)),
            // Of what makes no sound the old board knew nothing: what was stored from it sends nothing there.
            (None, Some(_)) if self.listens(column) => Some(Store::Stays),
            (None, _) => self.new.table.empty(column.cell).filter(|_| self.exact).map(|empty| column.store(empty)),
        };
        Held { scene, cells: self.across.iter().zip(&self.columns).map(one).collect() }
    }

    /// True for a message of the new board that nothing hears which sounds.
    fn listens(&self, column: &Column) -> bool {
        let cells = &self.new.table.cells.list;
        column.wire.message() && cells.get(column.cell).is_some_and(|cell| cell.listens)
    }

    /// The value stored in an old scene's row, as its own table has it, with its cell there.
    pub fn was(&self, scene: SceneId, column: usize) -> Option<(ColumnId, Value)> {
        let from = self.across.get(column)?.as_ref()?;
        self.known(scene, from.cell).then(|| (from.cell, self.old.table.stored(scene, from.cell)))
    }

    /// True when the unit is sure to hold what the old table says.
    fn known(&self, scene: SceneId, cell: ColumnId) -> bool {
        let table = &self.old.table;
        // Of a unit that was read or recorded some cells are not known.
        let told = !self.old.is_unit() || table.value(scene, cell) != Value::Unknown;
        told && (self.exact || !table.idle(scene, cell))
    }

    /// What a new scene's row must hold.
    pub fn wanted(&self, scene: SceneId) -> Wanted {
        let table = &self.new.table;
        let one = |column: &Column| {
            let value = column.store(table.stored(scene, column.cell));
            (value != Store::Unknown && !table.idle(scene, column.cell)).then_some(value)
        };
        let asked = |at: &usize| {
            let Some(column) = self.columns.get(*at) else { return false };
            table.idle(scene, column.cell) && self.asked.binary_search(&column.cell).is_ok()
        };
        let mut wanted = Wanted {
            scene,
            cells: self.columns.iter().map(one).collect(),
            open: if self.asked.is_empty() { Vec::new() } else { (0..self.columns.len()).filter(asked).collect() },
            rules: Vec::new(),
        };
        if !wanted.open.is_empty() {
            // Only rules that the free cells decide bind them; others hold, or break whatever is stored.
            let free = |cell: ColumnId| (!table.is_free(scene, cell)).then(|| table.value(scene, cell));
            let logic = &self.new.rules().logic;
            let answers = logic.answers(scene, &free);
            let decided = |(_, node): &(usize, &Node)| node.truth(&answers) == Truth::Free;
            wanted.rules = logic.rules.iter().enumerate().filter(decided).map(|(at, _)| at).collect();
        }
        wanted
    }

    /// The cells to set so that a row that holds `held` becomes the new scene's, in board order.
    pub fn turn(&self, held: &Held, wanted: &Wanted) -> Vec<(usize, Store)> {
        let differs = |(at, (is, want)): (usize, (&Option<Store>, &Option<Store>))| {
            want.as_ref().filter(|want| is.as_ref() != Some(*want)).map(|want| (at, want.clone()))
        };
        let mut edits: Vec<(usize, Store)> =
            held.cells.iter().zip(&wanted.cells).enumerate().filter_map(differs).collect();
        if !wanted.rules.is_empty() {
            edits.extend(self.for_the_rules(held, wanted));
            edits.sort_by_key(|(at, _)| *at);
        }
        edits
    }

    /// How many cells that takes.
    pub fn distance(&self, held: &Held, wanted: &Wanted) -> u32 {
        let differs = held.cells.iter().zip(&wanted.cells).filter(|(is, want)| want.is_some() && is != want).count();
        let ruled = if wanted.rules.is_empty() { 0 } else { self.for_the_rules(held, wanted).len() };
        (differs + ruled) as u32
    }

    /// How many things turn a preset that was just written into another: where what it holds in its free cells is not
    /// known, and where that happens to be right.
    pub fn from_written(&self, source: &Wanted, wanted: &Wanted) -> (u32, u32) {
        let (before, after) = (self.labels(None, source.scene).1, self.labels(None, wanted.scene).1);
        let name = u32::from(after.is_some() && before != after);
        let known = |(is, want): &(&Option<Store>, &Option<Store>)| is.is_some() && want.is_some() && is != want;
        let least = source.cells.iter().zip(&wanted.cells).filter(known).count() as u32;
        (self.distance(&Held::written(source), wanted) + name, least + name)
    }

    /// The fewest free cells that must be set so that the new book's rules hold.
    fn for_the_rules(&self, held: &Held, wanted: &Wanted) -> Vec<(usize, Store)> {
        if self.keeps(held, wanted, &[]) {
            return Vec::new();
        }
        let mut moves: Vec<(usize, Store)> = Vec::new();
        for at in &wanted.open {
            let (Some(column), is) = (self.columns.get(*at), held.believed(self, *at)) else { continue };
            let table = &self.new.table;
            let said = [table.stored(wanted.scene, column.cell), table.value(wanted.scene, column.cell)];
            let both = matches!(column.wire, Wire::Contact(_)).then_some([Store::Off, Store::On]);
            let values =
                both.into_iter().flatten().chain(said.map(|v| column.store(v))).filter(|v| Some(v) != is.as_ref());
            moves.extend(values.map(|v| (*at, v)));
        }
        let mut seen = Vec::new();
        moves.retain(|m| {
            !seen.contains(m) && {
                seen.push(m.clone());
                true
            }
        });
        // Few cells are free and asked about; where more than three must move, the book's own choice is taken whole.
        for count in 1..=moves.len().min(3) {
            if let Some(set) = subsets(&moves, count).into_iter().find(|set| self.keeps(held, wanted, set)) {
                return set;
            }
        }
        let whole = wanted.open.iter().filter_map(|at| {
            let column = self.columns.get(*at)?;
            let choice = column.store(self.new.table.stored(wanted.scene, column.cell));
            (held.believed(self, *at).as_ref() != Some(&choice)).then_some((*at, choice))
        });
        whole.collect()
    }

    /// True when the rules hold with the free cells as they are stored, but for those set.
    fn keeps(&self, held: &Held, wanted: &Wanted, set: &[(usize, Store)]) -> bool {
        let value = |cell: ColumnId| {
            let open = wanted.open.iter().find(|at| self.columns.get(**at).is_some_and(|c| c.cell == cell));
            let Some((at, column)) = open.and_then(|at| Some((at, self.columns.get(*at)?))) else {
                return Some(self.new.table.value(wanted.scene, cell));
            };
            let now = set.iter().find(|(s, _)| s == at).map(|(_, store)| store.clone());
            let now = now.or_else(|| held.believed(self, *at));
            Some(now.map_or(Value::Unknown, |store| column.value(store)))
        };
        let logic = &self.new.rules().logic;
        let answers = logic.answers(wanted.scene, &value);
        wanted.rules.iter().all(|r| logic.rules.get(*r).is_none_or(|node| node.truth(&answers) == Truth::Yes))
    }

    /// The letters that the display shows for an old and a new scene.
    pub fn labels(&self, old: Option<SceneId>, new: SceneId) -> (Option<&'c str>, Option<&'c str>) {
        (old.and_then(|s| label(self.old, s)), label(self.new, new))
    }
}

/// All sets of `count` out of a list.
fn subsets<T: Clone>(list: &[T], count: usize) -> Vec<Vec<T>> {
    match (count, list.split_first()) {
        (0, _) => vec![Vec::new()],
        (_, None) => Vec::new(),
        (_, Some((first, rest))) => {
            let mut out = subsets(rest, count - 1);
            out.iter_mut().for_each(|set| set.insert(0, first.clone()));
            out.extend(subsets(rest, count));
            out
        }
    }
}
