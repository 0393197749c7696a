//! Laying down the rows, parents before children.

use fixedbitset::FixedBitSet;
use rustc_hash::FxHashMap;

use super::fault::{Fault, Speaker};
use super::judge::{Judge, Statements};
use super::ranks::{Claims, Clash, NOBODY};
use super::{Cells, Table, Value};
use crate::book::{Book, SayingRange, Scene, What};
use crate::ids::{ColumnId, LayerId, Numbered, SayingId, SceneId};

/// A statement that settles more cells than these is not asked whether it changes anything.
const MOST_CELLS: usize = 8;

/// So many scenes up a line of descent are asked whether they overrode a layer: a bound for a book nobody writes.
const FAR: usize = 1000;

struct RowSettler<'b> {
    book: &'b Book,
    cells: &'b Cells,
    /// The default's statements.
    default: &'b Claims,
    hints: bool,
    faults: Vec<Fault>,
    /// Cells touched by the scene's own statements, and by those or its layers.
    own: FixedBitSet,
    upper: FixedBitSet,
    /// Cells that more than one of its own statements touch.
    twice: FixedBitSet,
}

/// A book of fewer scenes is not worth a second thread.
const WORTH_TWO: usize = 4000;

/// Rows of some scenes: the scenes, and the room for their values and free bits.
struct Share<'t> {
    scenes: &'t [SceneId],
    values: &'t mut [Value],
    free: &'t mut [u64],
}

/// Fills the table; gives what was found wrong. Scenes that derive from different ones do not bear on each other, so
/// a large book is laid in two halves at once.
pub(super) fn lay(book: &Book, table: &mut Table, hints: bool) -> Vec<Fault> {
    let (width, words) = (table.cells.len(), super::words(table.cells.len()));
    let (scenes, half) = halves(&book.show.scenes);
    for (row, id) in scenes.iter().enumerate() {
        if let Some(at) = table.at.get_mut(id.index()) {
            *at = row as u32;
        }
    }
    let cells = &table.cells;
    let spoken = cells.width();
    let mut default = Claims::empty(spoken, 0);
    let mut faults = {
        let mut work = RowSettler::new(book, cells, &default, hints);
        let mut said = Claims::empty(spoken, 0);
        work.one_rank(&mut said, book.show.default, Speaker::Default);
        for (id, layer) in book.show.layers.pairs() {
            work.one_rank(&mut Claims::empty(spoken, 0), layer.own, Speaker::Layer(id));
        }
        let faults = work.faults;
        default = said;
        faults
    };
    let default = &default;
    let (first, second) = scenes.split_at(half.min(scenes.len()));
    let (values, more_values) = table.values.split_at_mut(first.len() * width);
    let (free, more_free) = table.free.split_at_mut(first.len() * words);
    let one = Share { scenes: first, values, free };
    let other = Share { scenes: second, values: more_values, free: more_free };
    let lay = |share| lay_share(book, cells, default, hints, share);
    let (told, more) = if second.is_empty() { (lay(one), Vec::new()) } else { rayon::join(|| lay(one), || lay(other)) };
    faults.extend(told);
    faults.extend(more);
    faults
}

/// All scenes, parents before children, and where the second half starts: no scene there derives from the first.
fn halves(scenes: &Numbered<SceneId, Scene>) -> (Vec<SceneId>, usize) {
    let order = crate::book::scene::order(scenes);
    if order.len() < WORTH_TWO {
        let all = order.len();
        return (order, all);
    }
    let mut root: Numbered<SceneId, SceneId> = scenes.ids().collect();
    let mut size: Numbered<SceneId, usize> = vec![0; scenes.len()].into();
    for id in &order {
        let above = scenes.get(*id).and_then(|s| s.parent).and_then(|p| root.get(p).copied());
        let mine = above.unwrap_or(*id);
        if let (Some(slot), Some(size)) = (root.get_mut(*id), size.get_mut(mine)) {
            *slot = mine;
            *size += 1;
        }
    }
    let mut taken = 0;
    let mut first: Numbered<SceneId, bool> = vec![false; scenes.len()].into();
    for ((id, size), first) in size.pairs().zip(&mut first) {
        if root.get(id) == Some(&id) && taken < order.len() / 2 {
            *first = true;
            taken += size;
        }
    }
    let in_first = |id: &SceneId| root.get(*id).and_then(|r| first.get(*r)) == Some(&true);
    let (mut all, rest): (Vec<SceneId>, Vec<SceneId>) = order.iter().partition(|id| in_first(id));
    let half = all.len();
    all.extend(rest);
    (all, half)
}

/// Lays the rows of one share.
fn lay_share(book: &Book, cells: &Cells, default: &Claims, hints: bool, share: Share<'_>) -> Vec<Fault> {
    let (width, words) = (cells.len(), super::words(cells.len()));
    let mut work = RowSettler::new(book, cells, default, hints);
    let mut children = vec![0u32; book.show.scenes.len()];
    for scene in &book.show.scenes {
        if let Some(count) = scene.parent.and_then(|p| children.get_mut(p.index())) {
            *count += 1;
        }
    }
    let mut kept: FxHashMap<SceneId, Claims> = FxHashMap::default();
    // States that no scene needs any more: their room is used again.
    let mut spare: Vec<Claims> = Vec::new();
    let spoken = cells.width();
    let mut state = Claims::empty(spoken, book.show.layers.len());
    let empty = Claims::empty(spoken, book.show.layers.len());
    let mut judge = Judge::new(book, cells, default);
    let rooms = share.values.chunks_mut(width.max(1)).zip(share.free.chunks_mut(words.max(1)));
    for (id, (values, free)) in share.scenes.iter().zip(rooms) {
        let Some(scene) = book.show.scene(*id) else { continue };
        let above = scene.parent.and_then(|p| kept.get(&p));
        state.copy_from(above.unwrap_or(&empty));
        work.scene(&mut state, *id, scene);
        judge.finish(cells, &Statements { id: *id, scene, state: &state, default }, values, &mut work.faults);
        for cell in judge.free_cells() {
            if let Some(word) = free.get_mut(cell / 64) {
                *word |= 1 << (cell % 64);
            }
        }
        if children.get(id.index()).is_some_and(|c| *c > 0) {
            let mut room = spare.pop().unwrap_or_else(|| Claims::empty(spoken, book.show.layers.len()));
            room.copy_from(&state);
            kept.insert(*id, room);
        }
        // The last child takes the parent's state with it.
        if let Some((parent, count)) = scene.parent.and_then(|p| Some((p, children.get_mut(p.index())?))) {
            *count -= 1;
            if *count == 0 {
                spare.extend(kept.remove(&parent));
            }
        }
    }
    work.faults
}

impl<'b> RowSettler<'b> {
    fn new(book: &'b Book, cells: &'b Cells, default: &'b Claims, hints: bool) -> RowSettler<'b> {
        let none = FixedBitSet::with_capacity(cells.width());
        RowSettler {
            book,
            cells,
            default,
            hints,
            faults: Vec::new(),
            own: none.clone(),
            upper: none.clone(),
            twice: none,
        }
    }

    /// Lays down statements that no other rank meets: the default, or a layer by itself.
    fn one_rank(&mut self, state: &mut Claims, mix: SayingRange, who: Speaker) {
        let mut told = NOBODY;
        for saying in mix.ids() {
            let mut clash = None;
            state.claim(saying, self.cells, &self.book.show.sayings, |c| {
                clash.get_or_insert(c);
            });
            if let (Some(Clash { cell, first }), false) = (clash, one_statement(self.book, told, saying)) {
                self.faults.push(Fault::StatementsDisagree { who, first, second: saying, cell });
                told = saying;
            }
        }
    }

    fn touch(&self, saying: SayingId, set: &mut FixedBitSet) {
        if let Some(said) = self.book.show.sayings.get(saying) {
            self.cells.settles(said.what, |cell, _| set.insert(cell.index()));
        }
    }

    fn touches(&self, saying: SayingId, set: &FixedBitSet) -> bool {
        let mut hit = false;
        if let Some(said) = self.book.show.sayings.get(saying) {
            self.cells.settles(said.what, |cell, _| hit |= set.contains(cell.index()));
        }
        hit
    }

    /// Turns the parent's state into the scene's.
    fn scene(&mut self, state: &mut Claims, id: SceneId, scene: &Scene) {
        let book = self.book;
        let mut own = std::mem::take(&mut self.own);
        own.clear();
        self.twice.clear();
        for said in book.show.said(scene.own) {
            self.cells.settles(said.what, |cell, _| {
                if own.put(cell.index()) {
                    self.twice.insert(cell.index());
                }
            });
        }
        let mut upper = std::mem::take(&mut self.upper);
        upper.clear();
        let layers = book.show.layers_of(scene);
        for (layer, _) in layers {
            if let Some(layer) = book.show.layers.get(*layer) {
                layer.own.ids().for_each(|saying| self.touch(saying, &mut upper));
            }
        }
        let before = self.faults.len();
        let mut told = NOBODY;
        if self.hints && !scene.faulty && !scene.repeated {
            self.no_effect(state, &upper, id, scene);
            self.returns(state, id, scene, &own);
        }
        upper.union_with(&own);
        for cell in upper.ones() {
            state.drop_claims(ColumnId::nth(cell), self.cells, &book.show.sayings);
        }
        for (number, _) in layers {
            state.layers.insert(number.index());
            let Some(layer) = book.show.layers.get(*number) else { continue };
            for saying in layer.own.ids() {
                if self.touches(saying, &own) {
                    continue;
                }
                let mut clash = None;
                // A clash inside one layer is told at the layer.
                let inside = layer.own;
                state.claim(saying, self.cells, &book.show.sayings, |c| {
                    if !inside.holds(c.first) {
                        clash.get_or_insert(c);
                    }
                });
                if let (Some(Clash { cell, first }), false) =
                    (clash, scene.repeated || one_statement(self.book, told, saying))
                {
                    self.faults.push(Fault::LayersDisagree { scene: id, first, second: saying, cell });
                    told = saying;
                }
            }
        }
        self.one_rank(state, scene.own, Speaker::Scene(id));
        if self.faults.len() > before {
            self.not_twice(state, scene, before);
        }
        state.touched.union_with(&upper);
        (self.own, self.upper) = (own, upper);
    }

    /// The scene's own statements that change nothing: what lies below says the same. `layered` are the cells that
    /// its layers touch.
    fn no_effect(&mut self, parent: &Claims, layered: &FixedBitSet, id: SceneId, scene: &Scene) {
        let below = Below { parent, layered, scene };
        let mut saying = scene.own.from;
        while saying < scene.own.to {
            let statement = statement(self.book, saying, scene.own.to);
            if statement.ids().all(|said| self.says_nothing(&below, said)) {
                self.faults.push(Fault::NoEffect { scene: id, saying });
            }
            saying = statement.to;
        }
    }

    fn says_nothing(&self, below: &Below<'_>, saying: SayingId) -> bool {
        let Some(said) = self.book.show.sayings.get(saying) else { return false };
        let mut mine = [ColumnId::nth(0); MOST_CELLS];
        let mut count = 0;
        let mut twice = false;
        self.cells.settles(said.what, |cell, _| {
            if let Some(slot) = mine.get_mut(count) {
                *slot = cell;
            }
            count += 1;
            twice |= self.twice.contains(cell.index());
        });
        let Some(all) = mine.get(..count) else { return false };
        // What would come up from below would meet the scene's other statement, whole.
        let mut same = (count > 0 || matches!(said.what, What::AlwaysOn { .. })) && (count < 2 || !twice);
        self.cells.settles(said.what, |cell, value| same = same && self.says_below(below, cell, value, all));
        same
    }

    /// True when a cell would hold `value` without the scene's own statements, and what says so reaches no further
    /// than the cells `all`.
    fn says_below(&self, below: &Below<'_>, cell: ColumnId, value: Value, all: &[ColumnId]) -> bool {
        let Below { parent, layered, scene } = *below;
        let mut spoken = false;
        let mut same = true;
        // `over` tells which cells something above the statement touches: it would be replaced whole.
        let mut hear = |saying: SayingId, over: &dyn Fn(usize) -> bool| {
            let Some(said) = self.book.show.sayings.get(saying) else { return };
            let (mut hit, mut agrees) = (false, true);
            self.cells.settles(said.what, |c, v| {
                hit |= c == cell;
                agrees &= all.contains(&c) && !over(c.index()) && (c != cell || v == value);
            });
            spoken |= hit;
            same &= !hit || agrees;
        };
        if layered.contains(cell.index()) {
            let layers = self.book.show.layers_of(scene).iter().filter_map(|(l, _)| self.book.show.layers.get(*l));
            layers.flat_map(|l| l.own.ids()).for_each(|saying| hear(saying, &|_| false));
        } else if parent.touched.contains(cell.index()) {
            parent.claims(cell).for_each(|saying| hear(saying, &|c| layered.contains(c)));
        } else {
            let over = |c| layered.contains(c) || parent.touched.contains(c);
            self.default.claims(cell).for_each(|saying| hear(saying, &over));
        }
        match self.cells.list.get(cell) {
            Some(c) if !spoken => c.holds_unsaid() && c.unsaid == value,
            // A treadle that nothing is said of moves nothing.
            None if !spoken => value == Value::Off,
            _ => same,
        }
    }

    /// A statement that clashes with another of its scene is told as that alone.
    fn not_twice(&mut self, state: &Claims, scene: &Scene, from: usize) {
        let told = self.faults.split_off(from);
        let clashes = told.iter().any(|f| matches!(f, Fault::StatementsDisagree { .. }));
        self.faults.extend(told.into_iter().filter(|fault| match fault {
            Fault::NoEffect { saying, .. } if clashes => {
                let mut known = true;
                for said in
                    statement(self.book, *saying, scene.own.to).ids().filter_map(|s| self.book.show.sayings.get(s))
                {
                    self.cells.settles(said.what, |c, _| known &= state.value.get(c.index()) != Some(&Value::Unknown));
                }
                known
            }
            _ => true,
        }));
    }

    /// A layer that comes back after an ancestor overrode it.
    fn returns(&mut self, parent: &Claims, id: SceneId, scene: &Scene, own: &FixedBitSet) {
        for (number, _) in self.book.show.layers_of(scene) {
            if !parent.layers.contains(number.index()) {
                continue;
            }
            if let Some((by, saying, cell)) = self.overrode(scene, *number, own) {
                self.faults.push(Fault::LayerReturns { scene: id, layer: *number, by, saying, cell });
            }
        }
    }

    /// The nearest ancestor, up to the one that mixed the layer in, whose own statement holds against it.
    fn overrode(&self, scene: &Scene, number: LayerId, own: &FixedBitSet) -> Option<(SceneId, SayingId, ColumnId)> {
        let book = self.book;
        let layer = book.show.layers.get(number)?;
        let mut at = scene.parent;
        for _ in 0..FAR {
            let id = at?;
            let above = book.show.scene(id)?;
            for saying in above.own.ids() {
                let said = book.show.sayings.get(saying)?;
                let mut against = None;
                self.cells.settles(said.what, |cell, value| {
                    if !own.contains(cell.index()) && self.layer_says(layer.own, cell).is_some_and(|v| v != value) {
                        against = Some(cell);
                    }
                });
                if let Some(cell) = against {
                    return Some((id, saying, cell));
                }
            }
            if book.show.layers_of(above).iter().any(|(l, _)| *l == number) {
                return None;
            }
            at = above.parent;
        }
        None
    }

    fn layer_says(&self, mix: SayingRange, cell: ColumnId) -> Option<Value> {
        mix.ids().find_map(|saying| {
            let mut found = None;
            self.cells.settles(self.book.show.sayings.get(saying)?.what, |c, value| {
                if c == cell {
                    found = Some(value);
                }
            });
            found
        })
    }
}

/// Two sayings of one statement: a `mute` says one for each output.
fn one_statement(book: &Book, one: SayingId, other: SayingId) -> bool {
    let at = |saying: SayingId| book.show.sayings.get(saying).map(|s| s.at);
    at(one).is_some() && at(one) == at(other)
}

/// The sayings of the statement that this one is the first of, up to `end`.
fn statement(book: &Book, saying: SayingId, end: SayingId) -> SayingRange {
    let rest = SayingRange { from: saying, to: end }.ids();
    let more = rest.take_while(|other| one_statement(book, saying, *other)).count();
    SayingRange { from: saying, to: SayingId::nth(saying.index() + more.max(1)) }
}

/// What lies below a scene's own statements.
#[derive(Clone, Copy)]
struct Below<'s> {
    parent: &'s Claims,
    /// Cells that the scene's layers touch.
    layered: &'s FixedBitSet,
    scene: &'s Scene,
}
