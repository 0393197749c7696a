//! Ranks of statements: own over layers, layers over the parent, the parent over the default.
//!
//! A statement is live when no statement of a higher rank, live or not, touches any of its cells. So what a scene
//! hands on to those that derive from it is its live statements, cell by cell, and the set of cells touched.

use fixedbitset::FixedBitSet;

use super::cells::Cells;
use super::value::Value;
use crate::book::Saying;
use crate::ids::{ColumnId, Numbered, SayingId};

/// No statement.
pub(super) const NOBODY: SayingId = SayingId::nth(u32::MAX as usize);

/// The live statements of a scene without the default, as claims on cells.
#[derive(Clone, Debug)]
pub(super) struct Claims {
    /// For each cell, the statement that settles it, or [`NOBODY`].
    pub by: Vec<SayingId>,
    /// For each cell, the settled value; `Unknown` where statements clash.
    pub value: Vec<Value>,
    /// Further statements on a cell that is claimed already: those that agree and those that clash.
    pub also: Vec<(ColumnId, SayingId)>,
    /// Cells that some statement touches, live or not.
    pub touched: FixedBitSet,
    /// Layers mixed in anywhere on the way here.
    pub layers: FixedBitSet,
}

/// Two statements of one rank that settle a cell differently.
pub(super) struct Clash {
    pub cell: ColumnId,
    pub first: SayingId,
}

impl Claims {
    /// Nothing said.
    pub(super) fn empty(cells: usize, layers: usize) -> Claims {
        Claims {
            by: vec![NOBODY; cells],
            value: vec![Value::Unknown; cells],
            also: Vec::new(),
            touched: FixedBitSet::with_capacity(cells),
            layers: FixedBitSet::with_capacity(layers),
        }
    }

    /// Copies another state into this one, keeping its room.
    pub(super) fn copy_from(&mut self, other: &Claims) {
        self.by.clone_from(&other.by);
        self.value.clone_from(&other.value);
        self.also.clone_from(&other.also);
        self.touched.clone_from(&other.touched);
        self.layers.clone_from(&other.layers);
    }

    /// The statement behind a cell.
    pub(super) fn by(&self, cell: ColumnId) -> SayingId {
        self.by.get(cell.index()).copied().unwrap_or(NOBODY)
    }

    /// Drops every statement that claims `cell`, whole.
    pub(super) fn drop_claims(&mut self, cell: ColumnId, cells: &Cells, sayings: &Numbered<SayingId, Saying>) {
        let first = self.by(cell);
        if first == NOBODY {
            return;
        }
        self.drop_whole(first, cells, sayings);
        while let Some((_, next)) = self.also.iter().find(|(c, _)| *c == cell).copied() {
            self.drop_whole(next, cells, sayings);
        }
        let again = self.by(cell);
        if again != NOBODY {
            self.drop_whole(again, cells, sayings);
        }
    }

    fn drop_whole(&mut self, saying: SayingId, cells: &Cells, sayings: &Numbered<SayingId, Saying>) {
        let Some(said) = sayings.get(saying) else { return };
        self.also.retain(|(_, s)| *s != saying);
        cells.settles(said.what, |cell, _| {
            if self.by(cell) == saying {
                self.hand_over(cell, cells, sayings);
            } else {
                self.judge_again(cell, cells, sayings);
            }
        });
    }

    /// A cell whose first statement went: the next one that claims it takes over.
    fn hand_over(&mut self, cell: ColumnId, cells: &Cells, sayings: &Numbered<SayingId, Saying>) {
        let next = self.also.iter().position(|(c, _)| *c == cell);
        let by = next.map_or(NOBODY, |at| self.also.remove(at).1);
        if let Some(slot) = self.by.get_mut(cell.index()) {
            *slot = by;
        }
        self.judge_again(cell, cells, sayings);
    }

    fn judge_again(&mut self, cell: ColumnId, cells: &Cells, sayings: &Numbered<SayingId, Saying>) {
        let says = |saying: SayingId| value_for(saying, cell, cells, sayings);
        let mut value = says(self.by(cell));
        if self.also.iter().filter(|(c, _)| *c == cell).any(|(_, s)| says(*s) != value) {
            value = Value::Unknown;
        }
        if let Some(slot) = self.value.get_mut(cell.index()) {
            *slot = value;
        }
    }

    /// Claims the cells of a statement for the rank being laid down; calls `clash` with each cell that an earlier
    /// statement of the rank settles differently.
    ///
    /// Claims of lower ranks on these cells must have been dropped before.
    pub(super) fn claim(
        &mut self,
        saying: SayingId,
        cells: &Cells,
        sayings: &Numbered<SayingId, Saying>,
        mut clash: impl FnMut(Clash),
    ) {
        let Some(said) = sayings.get(saying) else { return };
        cells.settles(said.what, |cell, value| {
            let first = self.by(cell);
            if first == NOBODY {
                self.set(cell, saying, value);
                return;
            }
            let others = self.also.iter().filter(|(c, _)| *c == cell).map(|(_, s)| *s);
            let against = std::iter::once(first).chain(others).find(|s| value_for(*s, cell, cells, sayings) != value);
            // The same said again adds nothing, however often it is said.
            let same = |s: SayingId| sayings.get(s).is_some_and(|s| s.what == said.what);
            if !self.claims(cell).any(same) {
                self.also.push((cell, saying));
            }
            if let Some(first) = against {
                self.set(cell, self.by(cell), Value::Unknown);
                clash(Clash { cell, first });
            }
        });
    }

    fn set(&mut self, cell: ColumnId, saying: SayingId, settled: Value) {
        if let (Some(by), Some(value)) = (self.by.get_mut(cell.index()), self.value.get_mut(cell.index())) {
            (*by, *value) = (saying, settled);
        }
    }

    /// All statements that claim a cell, the first one first.
    pub(super) fn claims(&self, cell: ColumnId) -> impl Iterator<Item = SayingId> {
        let first = Some(self.by(cell)).filter(|s| *s != NOBODY);
        first.into_iter().chain(self.also.iter().filter(move |(c, _)| *c == cell).map(|(_, s)| *s))
    }
}

/// What a statement puts in a cell.
pub(super) fn value_for(
    saying: SayingId,
    cell: ColumnId,
    cells: &Cells,
    sayings: &Numbered<SayingId, Saying>,
) -> Value {
    let mut found = Value::Unknown;
    if let Some(said) = sayings.get(saying) {
        cells.settles(said.what, |c, value| {
            if c == cell {
                found = value;
            }
        });
    }
    found
}
