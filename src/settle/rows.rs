//! Laying down the rows, parents before children.

use fixedbitset::FixedBitSet;

use super::fault::{Fault, Speaker};
use super::judge::{Judge, Said};
use super::ranks::{Clash, State};
use super::{Cells, Table, Value};
use crate::book::{Book, Mix, Scene, What};

/// A statement that settles more cells than these is not asked whether it changes anything.
const MOST_CELLS: usize = 8;

/// So many scenes up a line of descent are asked whether they overrode a layer: a bound for a book nobody writes.
const FAR: usize = 1000;

struct Layers<'b> {
    book: &'b Book,
    cells: Cells,
    /// The default's statements.
    default: State,
    faults: Vec<Fault>,
    /// Cells touched by the scene's own statements, and by those or its layers.
    own: FixedBitSet,
    upper: FixedBitSet,
}

/// Fills the table; gives what was found wrong.
pub fn lay(book: &Book, table: &mut Table) -> Vec<Fault> {
    let width = table.cells.len();
    let mut work = Layers {
        book,
        cells: std::mem::take(&mut table.cells),
        default: State::empty(width, 0),
        faults: Vec::new(),
        own: FixedBitSet::with_capacity(width),
        upper: FixedBitSet::with_capacity(width),
    };
    let mut default = State::empty(width, 0);
    work.one_rank(&mut default, book.default, Speaker::Default);
    work.default = default;
    for (id, layer) in book.layers.iter().enumerate() {
        work.one_rank(&mut State::empty(width, 0), layer.own, Speaker::Layer(id as u32));
    }
    let mut children = vec![0u32; book.scenes.len()];
    for scene in &book.scenes {
        if let Some(count) = scene.parent.and_then(|p| children.get_mut(p as usize)) {
            *count += 1;
        }
    }
    let mut kept: Vec<Option<Box<State>>> = vec![None; book.scenes.len()];
    let mut state = State::empty(width, book.layers.len());
    let empty = State::empty(width, book.layers.len());
    let mut judge = Judge::new(book, &work.cells, &work.default);
    for id in crate::book::scene::order(&book.scenes) {
        let Some(scene) = book.scene(id) else { continue };
        let parent = scene.parent.map(|p| p as usize);
        let above = parent.and_then(|p| kept.get(p)?.as_deref());
        state.copy_from(above.unwrap_or(&empty));
        work.scene(&mut state, id, scene);
        let row = id as usize * width;
        let values = table.values.get_mut(row..row + width).unwrap_or_default();
        let said = Said { id, scene, state: &state, default: &work.default };
        judge.finish(&work.cells, &said, values, &mut work.faults);
        judge.free_cells().for_each(|cell| table.free.insert(row + cell));
        if children.get(id as usize).is_some_and(|c| *c > 0)
            && let Some(slot) = kept.get_mut(id as usize)
        {
            *slot = Some(Box::new(state.clone()));
        }
        // The last child takes the parent's state with it.
        if let Some((count, slot)) = parent.and_then(|p| Some((children.get_mut(p)?, kept.get_mut(p)?))) {
            *count -= 1;
            if *count == 0 {
                *slot = None;
            }
        }
    }
    table.cells = work.cells;
    work.faults
}

impl Layers<'_> {
    /// Lays down statements that no other rank meets: the default, or a layer by itself.
    fn one_rank(&mut self, state: &mut State, mix: Mix, who: Speaker) {
        for saying in mix.from..mix.to {
            let mut clash = None;
            state.claim(saying, &self.cells, &self.book.sayings, |c| {
                clash.get_or_insert(c);
            });
            if let Some(Clash { cell, first }) = clash {
                self.faults.push(Fault::StatementsDisagree { who, first, second: saying, cell });
            }
        }
    }

    fn touch(&self, saying: u32, set: &mut FixedBitSet) {
        if let Some(said) = self.book.sayings.get(saying as usize) {
            self.cells.settles(said.what, |cell, _| set.insert(cell as usize));
        }
    }

    fn touches(&self, saying: u32, set: &FixedBitSet) -> bool {
        let mut hit = false;
        if let Some(said) = self.book.sayings.get(saying as usize) {
            self.cells.settles(said.what, |cell, _| hit |= set.contains(cell as usize));
        }
        hit
    }

    /// Turns the parent's state into the scene's.
    fn scene(&mut self, state: &mut State, id: u32, scene: &Scene) {
        let book = self.book;
        let mut own = std::mem::take(&mut self.own);
        own.clear();
        (scene.own.from..scene.own.to).for_each(|saying| self.touch(saying, &mut own));
        let mut upper = std::mem::take(&mut self.upper);
        upper.clone_from(&own);
        let layers = book.layers_of(scene);
        for (layer, _) in layers {
            if let Some(layer) = book.layers.get(*layer as usize) {
                (layer.own.from..layer.own.to).for_each(|saying| self.touch(saying, &mut upper));
            }
        }
        let told = self.faults.len();
        if !scene.faulty && !scene.double {
            self.no_effect(state, id, scene);
            self.returns(state, id, scene, &own);
        }
        for cell in upper.ones() {
            state.drop_claims(cell as u16, &self.cells, &book.sayings);
        }
        for (number, _) in layers {
            state.layers.insert(*number as usize);
            let Some(layer) = book.layers.get(*number as usize) else { continue };
            for saying in layer.own.from..layer.own.to {
                if self.touches(saying, &own) {
                    continue;
                }
                let mut clash = None;
                // A clash inside one layer is told at the layer.
                let inside = layer.own.from..layer.own.to;
                state.claim(saying, &self.cells, &book.sayings, |c| {
                    if !inside.contains(&c.first) {
                        clash.get_or_insert(c);
                    }
                });
                if let (Some(Clash { cell, first }), false) = (clash, scene.double) {
                    self.faults.push(Fault::LayersDisagree { scene: id, first, second: saying, cell });
                }
            }
        }
        self.one_rank(state, scene.own, Speaker::Scene(id));
        if self.faults.len() > told {
            self.not_twice(state, told);
        }
        state.touched.union_with(&upper);
        (self.own, self.upper) = (own, upper);
    }

    /// The scene's own statements that change nothing: what lies below says the same.
    fn no_effect(&mut self, parent: &State, id: u32, scene: &Scene) {
        let book = self.book;
        for saying in scene.own.from..scene.own.to {
            let Some(said) = book.sayings.get(saying as usize) else { continue };
            let mut mine = [u16::MAX; MOST_CELLS];
            let mut count = 0;
            let mut same = true;
            self.cells.settles(said.what, |cell, _| {
                if let Some(slot) = mine.get_mut(count) {
                    *slot = cell;
                }
                count += 1;
            });
            let Some(all) = mine.get(..count) else { continue };
            self.cells
                .settles(said.what, |cell, value| same = same && self.says_below(parent, scene, cell, value, all));
            let nothing = count > 0 || matches!(said.what, What::AlwaysOn { .. });
            if same && nothing {
                self.faults.push(Fault::NoEffect { scene: id, saying });
            }
        }
    }

    /// True when a cell would hold `value` without the scene's own statements, and what says so reaches no further
    /// than the cells `all`.
    fn says_below(&self, parent: &State, scene: &Scene, cell: u16, value: Value, all: &[u16]) -> bool {
        let layers = self.book.layers_of(scene).iter().filter_map(|(l, _)| self.book.layers.get(*l as usize));
        let mut spoken = false;
        let mut same = true;
        let mut hear = |saying: u32| {
            let Some(said) = self.book.sayings.get(saying as usize) else { return false };
            let (mut hit, mut inside, mut agrees) = (false, true, true);
            self.cells.settles(said.what, |c, v| {
                inside &= all.contains(&c);
                if c == cell {
                    hit = true;
                    agrees = v == value;
                }
            });
            same &= !hit || (inside && agrees);
            hit
        };
        for saying in layers.flat_map(|l| l.own.from..l.own.to) {
            spoken |= hear(saying);
        }
        if !spoken {
            for saying in parent.claims(cell) {
                spoken |= hear(saying);
            }
        }
        if !spoken && !parent.touched.contains(cell as usize) {
            for saying in self.default.claims(cell) {
                spoken |= hear(saying);
            }
        }
        match self.cells.list.get(cell as usize) {
            Some(c) if !spoken => c.users.is_empty() && c.unsaid == value,
            _ => same,
        }
    }

    /// A statement that clashes with another of its scene is told as that alone.
    fn not_twice(&mut self, state: &State, from: usize) {
        let told = self.faults.split_off(from);
        let clashes = told.iter().any(|f| matches!(f, Fault::StatementsDisagree { .. }));
        self.faults.extend(told.into_iter().filter(|fault| match fault {
            Fault::NoEffect { saying, .. } if clashes => {
                let mut known = true;
                if let Some(said) = self.book.sayings.get(*saying as usize) {
                    self.cells.settles(said.what, |c, _| known &= state.value.get(c as usize) != Some(&Value::Unknown));
                }
                known
            }
            _ => true,
        }));
    }

    /// A layer that comes back after an ancestor overrode it.
    fn returns(&mut self, parent: &State, id: u32, scene: &Scene, own: &FixedBitSet) {
        for (number, _) in self.book.layers_of(scene) {
            if !parent.layers.contains(*number as usize) {
                continue;
            }
            if let Some((by, saying, cell)) = self.overrode(scene, *number, own) {
                self.faults.push(Fault::LayerReturns { scene: id, layer: *number, by, saying, cell });
            }
        }
    }

    /// The nearest ancestor, up to the one that mixed the layer in, whose own statement holds against it.
    fn overrode(&self, scene: &Scene, number: u32, own: &FixedBitSet) -> Option<(u32, u32, u16)> {
        let book = self.book;
        let layer = book.layers.get(number as usize)?;
        let mut at = scene.parent;
        for _ in 0..FAR {
            let id = at?;
            let above = book.scene(id)?;
            for saying in above.own.from..above.own.to {
                let said = book.sayings.get(saying as usize)?;
                let mut against = None;
                self.cells.settles(said.what, |cell, value| {
                    if !own.contains(cell as usize) && self.layer_says(layer.own, cell).is_some_and(|v| v != value) {
                        against = Some(cell);
                    }
                });
                if let Some(cell) = against {
                    return Some((id, saying, cell));
                }
            }
            if book.layers_of(above).iter().any(|(l, _)| *l == number) {
                return None;
            }
            at = above.parent;
        }
        None
    }

    fn layer_says(&self, mix: Mix, cell: u16) -> Option<Value> {
        (mix.from..mix.to).find_map(|saying| {
            let mut found = None;
            self.cells.settles(self.book.sayings.get(saying as usize)?.what, |c, value| {
                if c == cell {
                    found = Some(value);
                }
            });
            found
        })
    }
}
