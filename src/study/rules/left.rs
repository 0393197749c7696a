//! What each way into a scene leaves in the cells that the scene leaves as they are, or only pulses.
//!
//! The ways are those of the sets: power-up, the first part, then any part of a song to any other, the last part to the
//! next song's first (`ways` changes that). A latching contact is at rest after power-up; of everything else nobody
//! knows then how it stands, unless its description says so.

use rustc_hash::{FxHashMap, FxHashSet};

use super::logic::Logic;
use crate::book::{Book, Ways};
use crate::fill::Preset;
use crate::ids::{ColumnId, SceneId};
use crate::settle::{CellKind, Table, Value};
use crate::study::budget;
use crate::study::ways;

/// One way in: what stood before it, by number, and the scene that sounded; None after power-up.
pub(super) type Way = (u32, Option<SceneId>);

/// What scenes find.
#[derive(Default)]
pub(super) struct Left {
    /// The cells that rules ask for and that some scene leaves as they are.
    pub cells: Vec<ColumnId>,
    /// For each of them: how many states a pulse goes round; 0 for what no pulse moves.
    states: Vec<u16>,
    /// Each different way that these cells can stand. `Stays` is what nobody has set since power-up.
    stands: Vec<Vec<Value>>,
    known: FxHashMap<Vec<Value>, u32>,
    /// For each scene: the ways into it, one for each different stand before it.
    ways: FxHashMap<SceneId, Vec<Way>>,
    /// Scenes with switches pressed, and what they are.
    pressed: FxHashMap<SceneId, SceneId>,
    /// There were too many to follow all.
    pub cut: bool,
    arrivals: usize,
}

impl Left {
    /// Follows every way of a book.
    pub(super) fn of(book: &Book, table: &Table, presets: &[Preset], logic: &Logic) -> Left {
        let mut left = Left::default();
        let mut cells = logic.asked();
        let rows = || book.show.scenes.ids().filter(|s| book.show.scene(*s).is_some_and(|s| !s.repeated));
        let open = |s: SceneId, cell: ColumnId| matches!(table.value(s, cell), Value::Stays | Value::Pulse);
        cells.retain(|cell| rows().any(|s| open(s, *cell) && !table.is_free(s, *cell)));
        if cells.is_empty() {
            return left;
        }
        left.states = cells.iter().map(|cell| pulsed(book, table, *cell)).collect();
        left.cells = cells;
        for (base, combinations) in &book.show.combinations {
            left.pressed.extend(combinations.iter().map(|scene| (*scene, *base)));
        }
        let power = left.power(book, table);
        let mut walk = Walk { left: &mut left, book, table, repeats: book.board.timing.may_repeat() };
        let wakes = book.board.timing.wakes.map(|w| w.value);
        let woken = presets.iter().find(|p| wakes.is_some() && p.slot == wakes).map(|p| p.scene);
        let first = match woken.and_then(|scene| walk.arrive(scene, (power, None))) {
            Some(woken) => walk.with_presses(woken),
            None => vec![(power, None)],
        };
        let plan = book.board.ways.map(|w| w.value);
        if plan == Some(Ways::Any) {
            let slotted: Vec<SceneId> = presets.iter().filter(|p| p.slot.is_some()).map(|p| p.scene).collect();
            let all: Vec<SceneId> = presets.iter().map(|p| p.scene).collect();
            let all = if slotted.is_empty() { all } else { slotted };
            walk.hub(&all, &first, &all);
            return left;
        }
        for run in ways::runs(book) {
            let mut from = first.clone();
            for (song, _) in &run.songs {
                let parts = book.show.songs.get(*song).map_or(&[][..], |s| &s.parts);
                let parts: Vec<SceneId> = parts.iter().filter_map(|p| Some(book.show.base(p.scene?))).collect();
                let (Some(start), Some(last)) = (parts.first(), parts.last()) else { continue };
                from = if plan == Some(Ways::Listed) {
                    parts.iter().fold(from, |from, part| walk.each(*part, &from))
                } else {
                    let mut sounding = walk.hub(&[*start], &from, &parts);
                    sounding.retain(|(_, scene)| scene.map(|s| book.show.base(s)) == Some(*last));
                    sounding
                };
            }
        }
        left
    }

    /// The ways into a scene; none when nothing leads there.
    ///
    /// A scene with switches pressed is come to as the scene itself is, before any of them is pressed.
    pub(super) fn ways(&self, scene: SceneId) -> &[Way] {
        let scene = self.pressed.get(&scene).copied().unwrap_or(scene);
        self.ways.get(&scene).map_or(&[], Vec::as_slice)
    }

    /// What a cell holds in a stand.
    pub(super) fn holds(&self, stand: u32, cell: ColumnId) -> Value {
        let at = self.cells.iter().position(|c| *c == cell);
        let held = at.and_then(|at| self.stands.get(stand as usize)?.get(at));
        held.copied().unwrap_or(Value::Unknown)
    }

    /// What stands in a cell once a row that holds `value` there was reached.
    pub(super) fn stands(&self, stand: u32, cell: ColumnId, value: Value) -> Value {
        let stood = self.holds(stand, cell);
        let at = self.cells.iter().position(|c| *c == cell);
        let states = at.and_then(|at| self.states.get(at)).copied().unwrap_or(0);
        match (value, stood) {
            (Value::Stays, _) => stood,
            (Value::Pulse, Value::State(state)) if states > 0 => Value::State((state + 1) % states),
            // Nobody knows how it stood, so nobody knows where a pulse leads.
            (Value::Pulse, Value::Stays) => Value::Stays,
            (Value::Pulse, _) => Value::Unknown,
            (value, _) => value,
        }
    }

    fn power(&mut self, book: &Book, table: &Table) -> u32 {
        let one = |cell: &ColumnId| {
            let Some(column) = table.cells.list.get(*cell) else { return Value::Unknown };
            let mut users = column.users.iter();
            let start = users.find_map(|(d, c)| book.board.devices.get(*d)?.controls.get(*c)?.start());
            match (column.kind, start) {
                (CellKind::Contact(_), Some(state)) if column.rest == Value::Stays => Value::State(state as u16),
                (CellKind::Contact(_), _) => column.rest,
                _ => Value::Stays,
            }
        };
        let stand = self.cells.iter().map(one).collect();
        self.number(stand)
    }

    fn number(&mut self, stand: Vec<Value>) -> u32 {
        let next = self.stands.len() as u32;
        let number = *self.known.entry(stand.clone()).or_insert(next);
        if number == next {
            self.stands.push(stand);
        }
        number
    }
}

/// How many states of a control a pulse on a contact goes round.
fn pulsed(book: &Book, table: &Table, cell: ColumnId) -> u16 {
    let users = table.cells.list.get(cell).map_or(&[][..], |c| &c.users);
    let mut controls = users.iter().filter_map(|(d, c)| book.board.devices.get(*d)?.controls.get(*c));
    controls.find(|c| c.momentary()).map_or(0, |c| c.states.len() as u16)
}

struct Walk<'w> {
    left: &'w mut Left,
    book: &'w Book,
    table: &'w Table,
    /// The same switch again may send its pulses again.
    repeats: bool,
}

impl Walk<'_> {
    /// Notes a way into a scene, and gives how the cells stand then; None when too many were followed already.
    fn arrive(&mut self, scene: SceneId, (before, from): Way) -> Option<Way> {
        let (mut before, mut from) = (before, from);
        // The second row of a slot is called from its first.
        if let Some(first) = self.book.show.through(scene) {
            let there = from.is_some_and(|from| [scene, first].contains(&self.book.show.base(from)));
            if !there {
                (before, from) = self.arrive(first, (before, from))?;
            }
        }
        self.left.arrivals += 1;
        if self.left.arrivals > budget::ARRIVALS || self.left.stands.len() > budget::STANDS {
            self.left.cut = true;
            return None;
        }
        let ways = self.left.ways.entry(scene).or_default();
        if !ways.iter().any(|(known, _)| *known == before) {
            ways.push((before, from));
        }
        let after = |cell: &ColumnId| self.left.stands(before, *cell, self.sent(scene, *cell));
        let stand = self.left.cells.iter().map(after).collect();
        Some((self.left.number(stand), Some(scene)))
    }

    /// A way, and what each combination of the switches inside the preset makes of it.
    fn with_presses(&mut self, way: Way) -> Vec<Way> {
        let mut out = vec![way];
        let Some(base) = way.1 else { return out };
        for scene in self.book.show.combinations(base) {
            let moved = |cell: &ColumnId| match self.table.value(*scene, *cell) {
                value if value != self.table.value(base, *cell) => value,
                _ => self.left.holds(way.0, *cell),
            };
            let stand = self.left.cells.iter().map(moved).collect();
            out.push((self.left.number(stand), Some(*scene)));
        }
        out
    }

    /// True for a scene with switches pressed, of the one that is asked for: its switches bring that back.
    fn is_of(&self, from: Option<SceneId>, scene: SceneId) -> bool {
        from.is_some_and(|from| from != scene && self.book.show.base(from) == scene)
    }

    /// What a scene does to a cell: what it says, but that a device which nobody hears is moved by what is stored alone.
    fn sent(&self, scene: SceneId, cell: ColumnId) -> Value {
        let pulses = self.table.cells.list.get(cell).is_some_and(|c| c.pulses());
        match (pulses && self.table.is_free(scene, cell), self.table.stored(scene, cell)) {
            (true, Value::Pulse) => Value::Pulse,
            (true, _) => Value::Stays,
            (false, _) => self.table.value(scene, cell),
        }
    }

    /// Pressing a scene's own switch again changes how the cells stand.
    fn again(&self, scene: SceneId) -> bool {
        !self.book.show.has_rows(scene)
            && self.repeats
            && self.left.cells.iter().any(|cell| self.sent(scene, *cell) == Value::Pulse)
    }

    /// One part after each of some, and where its own switch leads from there; who has its sound already presses nothing.
    fn each(&mut self, scene: SceneId, from: &[Way]) -> Vec<Way> {
        let mut out = Vec::new();
        for way in from {
            if self.is_of(way.1, scene) {
                continue;
            }
            let mut there = if way.1 == Some(scene) { Some(*way) } else { self.arrive(scene, *way) };
            while let Some(way) = there.filter(|w| !out.contains(w)) {
                out.extend(self.with_presses(way));
                there = if self.again(scene) { self.arrive(scene, way) } else { None };
            }
        }
        out
    }

    /// Any of `all` may follow any; `first` are those that may follow `from`. Gives everything that can sound.
    fn hub(&mut self, first: &[SceneId], from: &[Way], all: &[SceneId]) -> Vec<Way> {
        let mut seen = FxHashSet::default();
        let mut present: Vec<Way> = Vec::new();
        for scene in first {
            let arrived = self.each(*scene, from);
            present.extend(arrived.into_iter().filter(|w| seen.insert(*w)));
        }
        // For each stand: the first scene that had it, and whether that one was spared so far.
        let mut held: FxHashMap<u32, (Option<SceneId>, bool)> = FxHashMap::default();
        let mut at = 0;
        while let Some(way) = present.get(at).copied() {
            at += 1;
            let (only, spared) = match held.get(&way.0) {
                None => (None, true),
                Some((first, true)) if *first != way.1 => (*first, false),
                Some(_) => continue,
            };
            held.entry(way.0).and_modify(|h| h.1 = spared).or_insert((way.1, spared));
            for scene in all.iter().filter(|s| only.is_none_or(|o| o == **s)) {
                if self.is_of(way.1, *scene) || Some(*scene) == way.1 && !self.again(*scene) {
                    continue;
                }
                let Some(arrived) = self.arrive(*scene, way) else { return present };
                for arrived in self.with_presses(arrived) {
                    if seen.insert(arrived) {
                        present.push(arrived);
                    }
                }
            }
        }
        present
    }
}
