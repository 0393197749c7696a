//! Laying down the rows, parents before children.

use fixedbitset::FixedBitSet;
use rustc_hash::FxHashMap;

use super::fault::{Fault, Speaker};
use super::judge::{Judge, Statements};
use super::ranks::{Claims, Clash, NOBODY};
use super::{Cells, Table, Value};
use crate::book::{Book, SayingRange, Scene, What};

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
    scenes: &'t [u32],
    values: &'t mut [Value],
    free: &'t mut [u64],
}

/// Fills the table; gives what was found wrong. Scenes that derive from different ones do not bear on each other, so
/// a large book is laid in two halves at once.
pub(super) fn lay(book: &Book, table: &mut Table, hints: bool) -> Vec<Fault> {
    let (width, words) = (table.cells.len(), super::words(table.cells.len()));
    let (scenes, half) = halves(&book.show.scenes);
    for (row, id) in scenes.iter().enumerate() {
        if let Some(at) = table.at.get_mut(*id as usize) {
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
        for (id, layer) in book.show.layers.iter().enumerate() {
            work.one_rank(&mut Claims::empty(spoken, 0), layer.own, Speaker::Layer(id as u32));
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
fn halves(scenes: &[Scene]) -> (Vec<u32>, usize) {
    let order = crate::book::scene::order(scenes);
    if order.len() < WORTH_TWO {
        let all = order.len();
        return (order, all);
    }
    let mut root: Vec<u32> = (0..scenes.len() as u32).collect();
    let mut size = vec![0usize; scenes.len()];
    for id in &order {
        let above = scenes.get(*id as usize).and_then(|s| s.parent).and_then(|p| root.get(p as usize).copied());
        let mine = above.unwrap_or(*id);
        if let (Some(slot), Some(size)) = (root.get_mut(*id as usize), size.get_mut(mine as usize)) {
            *slot = mine;
            *size += 1;
        }
    }
    let mut taken = 0;
    let mut first = vec![false; scenes.len()];
    for ((id, size), first) in size.iter().enumerate().zip(&mut first) {
        if root.get(id) == Some(&(id as u32)) && taken < order.len() / 2 {
            *first = true;
            taken += size;
        }
    }
    let in_first = |id: &u32| root.get(*id as usize).and_then(|r| first.get(*r as usize)) == Some(&true);
    let (mut all, rest): (Vec<u32>, Vec<u32>) = order.iter().partition(|id| in_first(id));
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
        if let Some(count) = scene.parent.and_then(|p| children.get_mut(p as usize)) {
            *count += 1;
        }
    }
    let mut kept: FxHashMap<u32, Claims> = FxHashMap::default();
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
        if children.get(*id as usize).is_some_and(|c| *c > 0) {
            let mut room = spare.pop().unwrap_or_else(|| Claims::empty(spoken, book.show.layers.len()));
            room.copy_from(&state);
            kept.insert(*id, room);
        }
        // The last child takes the parent's state with it.
        if let Some((parent, count)) = scene.parent.and_then(|p| Some((p, children.get_mut(p as usize)?))) {
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
        for saying in mix.from..mix.to {
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

    fn touch(&self, saying: u32, set: &mut FixedBitSet) {
        if let Some(said) = self.book.show.sayings.get(saying as usize) {
            self.cells.settles(said.what, |cell, _| set.insert(cell as usize));
        }
    }

    fn touches(&self, saying: u32, set: &FixedBitSet) -> bool {
        let mut hit = false;
        if let Some(said) = self.book.show.sayings.get(saying as usize) {
            self.cells.settles(said.what, |cell, _| hit |= set.contains(cell as usize));
        }
        hit
    }

    /// Turns the parent's state into the scene's.
    fn scene(&mut self, state: &mut Claims, id: u32, scene: &Scene) {
        let book = self.book;
        let mut own = std::mem::take(&mut self.own);
        own.clear();
        self.twice.clear();
        for said in book.show.said(scene.own) {
            self.cells.settles(said.what, |cell, _| {
                if own.put(cell as usize) {
                    self.twice.insert(cell as usize);
                }
            });
        }
        let mut upper = std::mem::take(&mut self.upper);
        upper.clear();
        let layers = book.show.layers_of(scene);
        for (layer, _) in layers {
            if let Some(layer) = book.show.layers.get(*layer as usize) {
                (layer.own.from..layer.own.to).for_each(|saying| self.touch(saying, &mut upper));
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
            state.drop_claims(cell as u16, self.cells, &book.show.sayings);
        }
        for (number, _) in layers {
            state.layers.insert(*number as usize);
            let Some(layer) = book.show.layers.get(*number as usize) else { continue };
            for saying in layer.own.from..layer.own.to {
                if self.touches(saying, &own) {
                    continue;
                }
                let mut clash = None;
                // A clash inside one layer is told at the layer.
                let inside = layer.own.from..layer.own.to;
                state.claim(saying, self.cells, &book.show.sayings, |c| {
                    if !inside.contains(&c.first) {
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
    fn no_effect(&mut self, parent: &Claims, layered: &FixedBitSet, id: u32, scene: &Scene) {
        let below = Below { parent, layered, scene };
        let mut saying = scene.own.from;
        while saying < scene.own.to {
            let statement = statement(self.book, saying, scene.own.to);
            if statement.clone().all(|said| self.says_nothing(&below, said)) {
                self.faults.push(Fault::NoEffect { scene: id, saying });
            }
            saying = statement.end;
        }
    }

    fn says_nothing(&self, below: &Below<'_>, saying: u32) -> bool {
        let Some(said) = self.book.show.sayings.get(saying as usize) else { return false };
        let mut mine = [u16::MAX; MOST_CELLS];
        let mut count = 0;
        let mut twice = false;
        self.cells.settles(said.what, |cell, _| {
            if let Some(slot) = mine.get_mut(count) {
                *slot = cell;
            }
            count += 1;
            twice |= self.twice.contains(cell as usize);
        });
        let Some(all) = mine.get(..count) else { return false };
        // What would come up from below would meet the scene's other statement, whole.
        let mut same = (count > 0 || matches!(said.what, What::AlwaysOn { .. })) && (count < 2 || !twice);
        self.cells.settles(said.what, |cell, value| same = same && self.says_below(below, cell, value, all));
        same
    }

    /// True when a cell would hold `value` without the scene's own statements, and what says so reaches no further
    /// than the cells `all`.
    fn says_below(&self, below: &Below<'_>, cell: u16, value: Value, all: &[u16]) -> bool {
        let Below { parent, layered, scene } = *below;
        let mut spoken = false;
        let mut same = true;
        // `over` tells which cells something above the statement touches: it would be replaced whole.
        let mut hear = |saying: u32, over: &dyn Fn(usize) -> bool| {
            let Some(said) = self.book.show.sayings.get(saying as usize) else { return };
            let (mut hit, mut agrees) = (false, true);
            self.cells.settles(said.what, |c, v| {
                hit |= c == cell;
                agrees &= all.contains(&c) && !over(c as usize) && (c != cell || v == value);
            });
            spoken |= hit;
            same &= !hit || agrees;
        };
        if layered.contains(cell as usize) {
            let layers =
                self.book.show.layers_of(scene).iter().filter_map(|(l, _)| self.book.show.layers.get(*l as usize));
            layers.flat_map(|l| l.own.from..l.own.to).for_each(|saying| hear(saying, &|_| false));
        } else if parent.touched.contains(cell as usize) {
            parent.claims(cell).for_each(|saying| hear(saying, &|c| layered.contains(c)));
        } else {
            let over = |c| layered.contains(c) || parent.touched.contains(c);
            self.default.claims(cell).for_each(|saying| hear(saying, &over));
        }
        match self.cells.list.get(cell as usize) {
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
                    statement(self.book, *saying, scene.own.to).filter_map(|s| self.book.show.sayings.get(s as usize))
                {
                    self.cells.settles(said.what, |c, _| known &= state.value.get(c as usize) != Some(&Value::Unknown));
                }
                known
            }
            _ => true,
        }));
    }

    /// A layer that comes back after an ancestor overrode it.
    fn returns(&mut self, parent: &Claims, id: u32, scene: &Scene, own: &FixedBitSet) {
        for (number, _) in self.book.show.layers_of(scene) {
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
        let layer = book.show.layers.get(number as usize)?;
        let mut at = scene.parent;
        for _ in 0..FAR {
            let id = at?;
            let above = book.show.scene(id)?;
            for saying in above.own.from..above.own.to {
                let said = book.show.sayings.get(saying as usize)?;
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
            if book.show.layers_of(above).iter().any(|(l, _)| *l == number) {
                return None;
            }
            at = above.parent;
        }
        None
    }

    fn layer_says(&self, mix: SayingRange, cell: u16) -> Option<Value> {
        (mix.from..mix.to).find_map(|saying| {
            let mut found = None;
            self.cells.settles(self.book.show.sayings.get(saying as usize)?.what, |c, value| {
                if c == cell {
                    found = Some(value);
                }
            });
            found
        })
    }
}

/// Two sayings of one statement: a `mute` says one for each output.
fn one_statement(book: &Book, one: u32, other: u32) -> bool {
    let at = |saying: u32| book.show.sayings.get(saying as usize).map(|s| s.at);
    at(one).is_some() && at(one) == at(other)
}

/// The sayings of the statement that this one is the first of, up to `end`.
fn statement(book: &Book, saying: u32, end: u32) -> std::ops::Range<u32> {
    let more = (saying..end).take_while(|other| one_statement(book, saying, *other)).count();
    saying..saying + more.max(1) as u32
}

/// What lies below a scene's own statements.
#[derive(Clone, Copy)]
struct Below<'s> {
    parent: &'s Claims,
    /// Cells that the scene's layers touch.
    layered: &'s FixedBitSet,
    scene: &'s Scene,
}
