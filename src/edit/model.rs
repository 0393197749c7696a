//! Some columns that statements tie together, and every statement about them, block by block.

use rustc_hash::FxHashMap;

use super::goal::Goal;
use super::{Block, Refusal};
use crate::book::{Board, SayingRange, What};
use crate::ids::{ColumnId, SayingId, SceneId};
use crate::settle::Value;

/// So many columns at most: a bit each.
const MOST: usize = 64;

/// One thing that may be said: what it puts in which of the columns.
pub(super) struct Unit {
    pub what: What,
    pub mask: u64,
    pub values: Vec<(usize, Value)>,
}

/// A statement as it stands, or one target of its list: its sayings (a `mute` has several) and their units.
#[derive(Clone, Debug)]
pub(super) struct Stmt {
    pub units: Vec<u32>,
    /// Its sayings in the book; none for one that is thought of.
    pub sayings: Vec<SayingId>,
}

/// What is said of some columns.
pub(super) struct Model {
    pub columns: Vec<ColumnId>,
    pub units: Vec<Unit>,
    known: FxHashMap<What, u32>,
    pub own: Vec<Vec<Stmt>>,
    pub layers: Vec<Vec<Stmt>>,
    pub default: Vec<Stmt>,
    /// A `mute`, which puts as much as its parts do, each of which is overridden alone.
    mute: Option<(u32, Vec<u32>)>,
    pub children: Vec<Vec<SceneId>>,
}

/// The wanted cells that change, in groups of columns that no statement and no control ties to another's.
pub(super) fn groups(goal: &Goal<'_>) -> Result<Vec<(Vec<usize>, Model)>, Vec<Refusal>> {
    let mut tied = Tied::of(goal);
    let mut groups: Vec<(usize, Vec<usize>)> = Vec::new();
    for (at, one) in &goal.changing {
        let root = tied.root(one.cell.index());
        match groups.iter_mut().find(|(known, _)| *known == root) {
            Some((_, members)) => members.push(*at),
            None => groups.push((root, vec![*at])),
        }
    }
    let (mut out, mut refused) = (Vec::new(), Vec::new());
    for (root, members) in groups {
        let count = goal.book.table.cells.width();
        let columns: Vec<ColumnId> = (0..count).filter(|c| tied.root(*c) == root).map(ColumnId::nth).collect();
        match columns.len() > MOST {
            true => refused.push(Refusal::TooWide(members.first().copied().unwrap_or(0))),
            false => out.push((members, Model::of(goal, columns))),
        }
    }
    if refused.is_empty() { Ok(out) } else { Err(refused) }
}

/// The outputs that a `mute` turns off.
pub(super) fn muted(board: &Board) -> impl Iterator<Item = u16> {
    let outputs = board.switcher.as_ref().map_or(0, |s| s.outputs);
    (1..=outputs).filter(|output| !board.watched(*output))
}

/// Columns and what they hang together with.
struct Tied(Vec<usize>);

impl Tied {
    fn of(goal: &Goal<'_>) -> Tied {
        let (book, cells) = (&goal.book.book, &goal.book.table.cells);
        let mut tied = Tied((0..cells.width()).collect());
        for (d, device) in book.board.devices.pairs() {
            for c in device.controls.ids() {
                tied.tie(cells.of_control(d, c).iter().map(|c| c.index()));
            }
        }
        // A treadle that moves something else gives up all that it moved.
        let sayings = if cells.width() > cells.len() {
            book.show.sayings.stretch(SayingId::nth(0), book.show.sayings.next())
        } else {
            &[]
        };
        for what in sayings.iter().map(|s| s.what).filter(|w| matches!(w, What::Moves { .. })) {
            let mut columns = Vec::new();
            cells.settles(what, |cell, _| columns.push(cell.index()));
            tied.tie(columns.into_iter());
        }
        // Of all other statements, a `mute` alone reaches further than a control.
        tied.tie(muted(&book.board).filter_map(|output| cells.output_cell(output)).map(ColumnId::index));
        tied
    }

    fn root(&mut self, at: usize) -> usize {
        let mut root = at;
        while let Some(up) = self.0.get(root).copied().filter(|up| *up != root) {
            root = up;
        }
        if let Some(slot) = self.0.get_mut(at) {
            *slot = root;
        }
        root
    }

    fn tie(&mut self, columns: impl Iterator<Item = usize>) {
        let mut first = None;
        for column in columns {
            let root = self.root(column);
            let onto = *first.get_or_insert(root);
            let onto = self.root(onto);
            if let Some(slot) = self.0.get_mut(root) {
                *slot = onto;
            }
        }
    }
}

impl Model {
    fn of(goal: &Goal<'_>, columns: Vec<ColumnId>) -> Model {
        let show = &goal.book.book.show;
        let mut model = Model {
            columns,
            units: Vec::new(),
            known: FxHashMap::default(),
            own: Vec::new(),
            layers: Vec::new(),
            default: Vec::new(),
            mute: None,
            children: vec![Vec::new(); show.scenes.len()],
        };
        model.mute = model.mute(goal);
        model.default = model.statements(goal, show.default);
        model.layers = show.layers.iter().map(|layer| model.statements(goal, layer.own)).collect();
        model.own = show.scenes.iter().map(|scene| model.statements(goal, scene.own)).collect();
        // No text says what a scene has with switches pressed: it follows.
        for (id, scene) in show.scenes.pairs().filter(|(_, scene)| scene.pressed == 0) {
            if let Some(children) = scene.parent.and_then(|p| model.children.get_mut(p.index())) {
                children.push(id);
            }
        }
        model
    }

    /// The statements of a block about these columns.
    fn statements(&mut self, goal: &Goal<'_>, range: SayingRange) -> Vec<Stmt> {
        let sayings = &goal.book.book.show.sayings;
        let mut out: Vec<(crate::source::Span, Stmt)> = Vec::new();
        for number in range.ids() {
            let Some(saying) = sayings.get(number) else { continue };
            let Some(unit) = self.unit(goal, saying.what) else { continue };
            match out.last_mut().filter(|(at, _)| *at == saying.at) {
                Some((_, stmt)) => {
                    stmt.units.push(unit);
                    stmt.sayings.push(number);
                }
                None => out.push((saying.at, Stmt { units: vec![unit], sayings: vec![number] })),
            }
        }
        out.into_iter().map(|(_, stmt)| stmt).collect()
    }

    /// The unit of something said; None when it is about other columns.
    pub(super) fn unit(&mut self, goal: &Goal<'_>, what: What) -> Option<u32> {
        if let Some(known) = self.known.get(&what) {
            return Some(*known);
        }
        let mut values = Vec::new();
        goal.book.table.cells.settles(what, |cell, value| {
            values.extend(self.columns.iter().position(|c| *c == cell).map(|at| (at, value)));
        });
        if values.is_empty() {
            return None;
        }
        let mask = values.iter().fold(0, |mask, (at, _)| mask | 1u64 << at);
        let id = self.units.len() as u32;
        self.units.push(Unit { what, mask, values });
        self.known.insert(what, id);
        Some(id)
    }

    /// A `mute` as one unit, where it turns more than one output off.
    fn mute(&mut self, goal: &Goal<'_>) -> Option<(u32, Vec<u32>)> {
        let outputs = muted(&goal.book.book.board);
        let parts: Vec<u32> = outputs.filter_map(|output| self.unit(goal, What::Mute { output })).collect();
        let values = parts.iter().filter_map(|unit| self.units.get(*unit as usize)).flat_map(|u| u.values.clone());
        let values: Vec<(usize, Value)> = values.collect();
        let mask = parts.iter().fold(0, |mask, unit| mask | self.mask_of(*unit));
        let id = self.units.len() as u32;
        (parts.len() > 1).then(|| {
            self.units.push(Unit { what: What::Mute { output: 0 }, mask, values });
            (id, parts)
        })
    }

    /// The `mute` that could be put in, as one unit.
    pub(super) fn muting(&self) -> Option<u32> {
        self.mute.as_ref().map(|(unit, _)| *unit)
    }

    /// What a unit is made of: itself, but for a `mute`.
    pub(super) fn parts<'s>(&'s self, unit: &'s u32) -> &'s [u32] {
        match &self.mute {
            Some((mute, parts)) if mute == unit => parts,
            _ => std::slice::from_ref(unit),
        }
    }

    /// The columns that some statements touch.
    pub(super) fn mask<'s>(&self, stmts: impl IntoIterator<Item = &'s Stmt>) -> u64 {
        stmts.into_iter().flat_map(|s| &s.units).fold(0, |mask, unit| mask | self.mask_of(*unit))
    }

    pub(super) fn mask_of(&self, unit: u32) -> u64 {
        self.units.get(unit as usize).map_or(0, |u| u.mask)
    }

    pub(super) fn block(&self, block: Block) -> &[Stmt] {
        match block {
            Block::Scene(id) => self.own.get(id.index()),
            Block::Layer(id) => self.layers.get(id.index()),
            Block::Default => Some(&self.default),
        }
        .map_or(&[], Vec::as_slice)
    }
}
