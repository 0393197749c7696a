//! The walk through a set: what each change costs the feet, what moves, and what is heard of it.

pub mod feet;
mod holds;
pub mod level;
mod totals;

pub use feet::{Jump, Manual, Takes, Under};
use holds::Holds;
pub use level::LevelStep;
pub use totals::Totals;

use std::cell::OnceCell;

use rustc_hash::FxHashSet;

use crate::book::{self, Board, Book, PartAt, Slot};
use crate::fill::{Places, Preset};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId, SongId};
use crate::settle::{Answer, CellKind, Row, Setting, Table, Value};
use crate::study::inside::Inside;
use crate::study::ways::{self, Run};

/// A place in a run: the scene of a part, and where its preset stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Place {
    /// The scene.
    pub scene: SceneId,
    /// Its slot, if it has one.
    pub slot: Option<Slot>,
    /// The song, and the part of it; None for what sounds after power-up.
    pub part: Option<PartAt>,
}

/// One change.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Change {
    /// Where the player comes from; None at the first part of a run that nothing wakes.
    pub from: Option<Place>,
    /// Where to.
    pub to: Place,
    /// Inside a song; else there is time between two songs.
    pub inside: bool,
    /// It is called from outside: no foot presses.
    pub called: bool,
    /// A preset is called; else the unit stays in the one where it is.
    pub sent: bool,
    /// The same two parts follow each other in an earlier run too.
    pub again: bool,
    /// Banks passed.
    pub banks: u32,
    /// Presses, by the cost that the switcher states; None when it states none, or a preset has no slot.
    pub presses: Option<u32>,
    /// Loops that move: number, and whether they are engaged now.
    pub loops: Vec<(u16, bool)>,
    /// Devices that are engaged or bypassed by a control of their own: index, and whether they are engaged now.
    pub switched: Vec<(DeviceId, bool)>,
    /// Contacts that move or pulse: their columns.
    pub contacts: Vec<ColumnId>,
    /// Cells that a preset stores and that are otherwise than when they were last heard, all but loops: their columns. What was
    /// set while its pedal was silent is told when that comes in.
    pub set: Vec<ColumnId>,
    /// What a hand or foot does besides pressing.
    pub manual: Vec<Manual>,
    /// Feet wanted at one moment: on the switch, on devices, on treadles that are held through the change.
    pub feet: u32,
    /// Levels that a foot holds while the part sounds, one of each treadle: device and level.
    pub held: Vec<(DeviceId, ControlId)>,
    /// Levels that jump when a foot takes them or gives them back.
    pub jumps: Vec<Jump>,
    /// How much louder it gets.
    pub level: LevelStep,
    /// Devices whose tail is cut.
    pub tails: Vec<TailCut>,
}

/// A device that rings on and is cut off.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct TailCut {
    /// The device, an index of the board's.
    pub device: DeviceId,
    /// How long it would ring on.
    pub seconds: f64,
    /// By a program that it is sent; else it goes out of the line.
    pub by_program: bool,
}

impl Change {
    /// Nothing is told any more; the lists that most changes fill keep their room.
    fn clear(&mut self) {
        fn room<T>(list: &mut Vec<T>) -> Vec<T> {
            list.clear();
            std::mem::take(list)
        }
        *self = Change {
            loops: room(&mut self.loops),
            switched: room(&mut self.switched),
            contacts: room(&mut self.contacts),
            set: room(&mut self.set),
            ..Change::default()
        };
    }

    /// How much it hurts, for the list of the worst: a press 1, a move by hand or foot 2, a jump 3, a cut tail 2, both
    /// feet at once 4. A ranking by common sense, no source.
    pub fn pain(&self) -> u32 {
        let both = if self.two_feet() { 4 } else { 0 };
        self.presses.unwrap_or(0)
            + 2 * self.manual.len() as u32
            + 3 * self.jumps.len() as u32
            + 2 * self.tails.len() as u32
            + both
    }

    /// Devices that go in or out, and whether they are in now: by their loops first, then by what engages them.
    pub fn moved<'c>(&'c self, board: &'c Board) -> impl Iterator<Item = (DeviceId, bool)> + 'c {
        let loops = self.loops.iter().filter_map(move |(n, on)| Some((board.loop_holds(*n)?, *on)));
        loops.chain(self.switched.iter().copied())
    }

    /// What follows what: the same in every set that plays the song.
    fn pair(&self) -> Pair {
        (self.from.map(|f| (f.scene, f.part)), self.to.part)
    }

    /// There is something to tell of it: both feet at once, a jump, a cut tail, or a bank to pass.
    pub fn tells(&self) -> bool {
        self.two_feet() || !self.jumps.is_empty() || !self.tails.is_empty() || self.banks > 1
    }

    /// Both feet are wanted at one moment: in the change, or while the part sounds.
    pub fn two_feet(&self) -> bool {
        self.feet > 1 || self.crowded()
    }

    /// The part asks two treadles at once, or more than two things in all.
    pub fn crowded(&self) -> bool {
        let taps = self.manual.iter().filter(|m| matches!(m, Manual::Tap { .. })).count();
        self.held.len() > 1 || self.held.len() + taps > 2
    }
}

/// The changes of one run.
#[derive(Clone, PartialEq, Debug)]
pub struct Walked {
    /// What is played.
    pub run: Run,
    /// Its changes, in order.
    pub changes: Vec<Change>,
}

/// A scene and part, and the part that follows.
type Pair = (Option<(SceneId, Option<PartAt>)>, Option<PartAt>);

/// All runs, walked.
#[derive(Clone, Debug, Default)]
pub struct Walk {
    /// The sets by name, then songs in no set.
    pub runs: Vec<Walked>,
}

/// Walks every run of a book.
pub fn walk(book: &Book, table: &Table, presets: &[Preset]) -> Walk {
    let walker = Walker::of(book, table, presets);
    let mut seen = FxHashSet::default();
    let walked = |run: Run| {
        let mut changes = Vec::new();
        walker.run(&run, |change| changes.push(Change { again: !seen.insert(change.pair()), ..change.clone() }));
        Walked { run, changes }
    };
    Walk { runs: ways::runs(book).into_iter().map(walked).collect() }
}

/// The changes that there is something to tell of, each pair of parts once: a song in three sets is one song.
///
/// Of a walk through a large book nothing else is kept.
pub fn telling(book: &Book, table: &Table, presets: &[Preset]) -> Vec<Change> {
    let walker = Walker::of(book, table, presets);
    let mut seen = FxHashSet::default();
    let mut out = Vec::new();
    for run in ways::runs(book) {
        walker.run(&run, |change| {
            if change.tells() && seen.insert(change.pair()) {
                out.push(change.clone());
            }
        });
    }
    out
}

/// A scene, and the part that plays it.
pub type Stand = (SceneId, Option<PartAt>);

/// What it costs to go straight from one place to another, for each pair: from the slot of the first to the slot of the
/// second between which it costs least. What the first leaves as it was is not known.
pub fn between(book: &Book, table: &Table, presets: &[Preset], pairs: &[[Stand; 2]]) -> Vec<Change> {
    let walker = Walker::of(book, table, presets);
    pairs.iter().map(|pair| walker.straight(*pair)).collect()
}

/// How a change falls.
#[derive(Clone, Copy)]
struct How {
    inside: bool,
    /// Nothing was played before it.
    first: bool,
    called: bool,
    /// There is time before it: nothing was played yet, a pause is said, or another guitar is taken in hand. Nothing sounds then.
    silent: bool,
}

struct Walker<'b> {
    book: &'b Book,
    table: &'b Table,
    places: Places,
    /// What sounds after power-up.
    woken: Option<Place>,
    /// Levels that a treadle may move: column, and device and level.
    ports: Vec<(ColumnId, (DeviceId, ControlId))>,
    /// What stands in an insert or a leg.
    inside: Option<Inside>,
}

impl<'b> Walker<'b> {
    fn of(book: &'b Book, table: &'b Table, presets: &[Preset]) -> Walker<'b> {
        let wakes = book.board.timing.wakes.map(|w| w.value);
        let woken = presets.iter().find(|p| wakes.is_some() && p.slot == wakes);
        let woken = woken.map(|p| Place { scene: p.scene, slot: p.slot, part: None });
        Walker {
            book,
            table,
            places: Places::of(book, presets),
            woken,
            ports: feet::ports(book, table),
            inside: Inside::of(&book.board),
        }
    }

    fn run(&self, run: &Run, mut each: impl FnMut(&Change)) {
        let woken = self.woken;
        let mut first = true;
        let mut change = Change::default();
        let mut holds = Holds::unknown(self.table.cells.len());
        let mut from = woken;
        if let Some(place) = woken {
            self.settle(place.scene, &mut holds.cells);
            holds.heard.clone_from(&holds.cells);
        }
        let parts = |song: SongId| self.book.show.songs.get(song).map_or(&[][..], |s| &s.parts);
        let songs = run.songs.iter().filter_map(|(s, _)| self.book.show.songs.get(*s));
        let mut path = self.places.path(from.and_then(|f| f.slot), songs).into_iter();
        let mut held = None;
        for (song, pause) in &run.songs {
            let mut inside = false;
            let called = self.book.show.songs.get(*song).map_or(Vec::new(), |song| self.places.called(song));
            for (p, (part, slot)) in parts(*song).iter().zip(path.by_ref()).enumerate() {
                let Some(scene) = part.scene else { continue };
                let to = Place { scene, slot, part: Some((*song, p as u32)) };
                let called = called.get(p).copied().flatten().is_some();
                let guitar = self.book.show.songs.get(*song).and_then(|song| song.guitar_of(part));
                let silent = !inside && (first || *pause || held.zip(guitar).is_some_and(|(was, now)| was != now));
                held = guitar.or(held);
                self.change(from, to, How { inside, first, called, silent }, &mut holds, &mut change);
                each(&change);
                (from, inside, first) = (Some(to), true, false);
            }
        }
    }

    fn straight(&self, [from, to]: [Stand; 2]) -> Change {
        let mut holds = Holds::unknown(self.table.cells.len());
        self.settle(from.0, &mut holds.cells);
        for ((column, cell), held) in self.table.cells.list.pairs().zip(&mut holds.cells) {
            // Nobody sets what is silent.
            if matches!(cell.kind, CellKind::ByFoot { .. }) && self.table.is_free(from.0, column) {
                *held = Value::Unknown;
            }
        }
        holds.heard.clone_from(&holds.cells);
        let [near, there] = self.places.pair(from.0, to.0);
        let (begins, ends) = (self.called(from), self.called(to));
        let place = |(scene, part): Stand, slot| Place { scene, slot, part };
        // From where a program put the unit, the foot goes the nearest way.
        let there = begins.and_then(|slot| self.places.nearest(Some(slot), to.0)).map(|(slot, _)| slot).or(there);
        let (from, to) = (place(from, begins.or(near)), place(to, ends.or(there)));
        let song = |place: &Place| place.part.map(|(song, _)| song);
        let apart = song(&from).zip(song(&to)).is_some_and(|(from, to)| from != to);
        let mut change = Change::default();
        let how = How { inside: !apart, first: false, called: ends.is_some(), silent: false };
        self.change(Some(from), to, how, &mut holds, &mut change);
        change
    }

    /// The slot in which a part is called from outside.
    fn called(&self, (_, part): Stand) -> Option<Slot> {
        let (song, part) = part?;
        let song = self.book.show.songs.get(song)?;
        self.places.called(song).get(part as usize).copied().flatten()
    }

    /// Tells one change, in the place of another that was told: a walk through many thousand has one list of each kind.
    fn change(&self, from: Option<Place>, to: Place, how: How, holds: &mut Holds, change: &mut Change) {
        let How { inside, first, called, silent } = how;
        let slots = from.and_then(|f| f.slot).zip(to.slot);
        let same = from.is_some_and(|f| f.scene == to.scene && f.slot == to.slot);
        let calls = self.called_by(from, to);
        let cost = slots.zip(self.book.board.timing.presses);
        let within = slots.and_then(|(a, b)| a.within(b));
        change.clear();
        (change.from, change.to, change.inside, change.called) = (from, to, inside, called);
        change.banks = slots.filter(|_| !called).map_or(0, |(a, b)| a.bank.abs_diff(b.bank));
        change.presses = match called {
            true => Some(0),
            false => cost.map(|((a, b), presses)| presses.between(a, b)).or(same.then_some(0)).or(within),
        };
        change.feet = u32::from(!same && !called);
        let started = from.is_some();
        // The first row of a slot is called before the second.
        if let Some(first) = calls.flatten() {
            self.pass(first, started, &mut holds.cells, change);
        }
        let sent = calls.is_some();
        change.sent = sent;
        let Holds { cells: held, heard } = holds;
        let cut = OnceCell::new();
        for (((c, cell), held), heard) in self.table.cells.list.pairs().zip(held.iter_mut()).zip(heard) {
            let value = self.table.stored(to.scene, c);
            let pulses = value == Value::Pulse;
            if !started && value != Value::Stays {
                *heard = value;
            }
            if *held == value && *heard == value && !pulses {
                continue;
            }
            let moves = match value {
                Value::Pulse => !same,
                Value::Stays | Value::Unknown => false,
                // What makes no sound is sent it, whatever it held.
                _ if cell.listens => *held != value,
                // What is set where nobody hears it is told when somebody does.
                _ if !self.hears(to.scene, &cut, cell) => false,
                _ => {
                    let was = std::mem::replace(heard, value);
                    started && was != value
                }
            };
            if moves && !matches!(cell.kind, CellKind::Loop(_) | CellKind::ByFoot { .. }) {
                change.set.push(c);
            }
            if *held == value && !pulses {
                continue;
            }
            match (cell.kind, value) {
                (CellKind::Contact(_), Value::Pulse) if sent && !change.contacts.contains(&c) => {
                    change.contacts.push(c);
                }
                (CellKind::Contact(_), Value::On | Value::Off)
                    if started && *held != Value::Unknown && !change.contacts.contains(&c) =>
                {
                    change.contacts.push(c);
                }
                (CellKind::Loop(number), Value::On | Value::Off) if started => {
                    change.loops.push((number, value == Value::On));
                }
                (CellKind::ByFoot { device, control }, Value::State(_) | Value::Step(_))
                    if !first && !self.table.is_free(to.scene, c) =>
                {
                    change.manual.push(Manual::Move { device, control, value });
                    // A switch that is heard before and after must be worked at the very moment; a level takes its
                    // time, and what was silent before can be set beforehand.
                    let heard = from.is_some_and(|f| self.sounds(f.scene, device));
                    change.feet += u32::from(heard && matches!(value, Value::State(_)));
                }
                _ => {}
            }
            let free = || matches!(cell.kind, CellKind::ByFoot { .. }) && self.table.is_free(to.scene, c);
            if value != Value::Stays && !pulses && !free() {
                *held = value;
            }
        }
        if let Some(from) = from {
            self.switched(from.scene, to.scene, change);
            feet::treadles(self, from.scene, to.scene, same, change);
            if silent {
                change.jumps.clear();
            }
            let moved = self.heard_to_move(from.scene, to.scene, change);
            level::step(self.book, self.table, &moved, change);
            level::legs(self.book, self.table, self.inside.as_ref(), change);
            if inside {
                self.tails(&moved, change);
            }
        }
        feet::notes(self.book, change);
        feet::held(self, change);
    }

    /// What a change calls: nothing when the foot stays in a preset and presses switches inside it; else the preset, and
    /// the first row of its slot before it where the foot must press that.
    fn called_by(&self, from: Option<Place>, to: Place) -> Option<Option<SceneId>> {
        let show = &self.book.show;
        let stored = |place: Place| place.slot.map(Slot::stored);
        let stays = |from: Place| show.base(from.scene) == show.base(to.scene) && stored(from) == stored(to);
        if from.is_some_and(stays) {
            return None;
        }
        let slots = from.and_then(|from| from.slot).zip(to.slot);
        let there = slots.is_some_and(|(a, b)| a.within(b).is_some());
        Some(show.through(to.scene).filter(|_| !there))
    }

    fn switched(&self, from: SceneId, to: SceneId, change: &mut Change) {
        let switched = self.book.board.devices.numbered().filter(|(d, _)| d.engaged_by.is_some());
        for (_, device) in switched {
            let now = self.sounds(to, device);
            if now != self.sounds(from, device) {
                change.switched.push((device, now));
            }
        }
    }

    /// Devices that are heard to go in or out: those that are engaged or bypassed, and what stands in their inserts and legs.
    fn heard_to_move(&self, from: SceneId, to: SceneId, change: &Change) -> Vec<(DeviceId, bool)> {
        let moved: Vec<(DeviceId, bool)> = change.moved(&self.book.board).collect();
        let Some(inside) = &self.inside else { return moved };
        let [before, after] = [from, to].map(|scene| inside.cut_off_in(self.book, self.table, scene));
        let also = inside.devices.iter().copied().filter(|d| !moved.iter().any(|(m, _)| m == d));
        let all = moved.iter().map(|(d, _)| *d).chain(also);
        let heard = |scene: SceneId, cut: &[DeviceId], d: DeviceId| self.sounds(scene, d) && !cut.contains(&d);
        let stands = all.map(|d| (d, heard(from, &before, d), heard(to, &after, d)));
        stands.filter(|(_, was, now)| was != now).map(|(d, _, now)| (d, now)).collect()
    }

    /// Devices that go out while they still ring.
    fn tails(&self, moved: &[(DeviceId, bool)], change: &mut Change) {
        let Some(from) = change.from else { return };
        let cut = |device: DeviceId, by_program| {
            let seconds = self.book.board.devices.get(device)?.tail?.value;
            Some(TailCut { device, seconds, by_program })
        };
        let out = moved.iter().filter(|(_, on)| !on);
        change.tails = out.filter_map(|(device, _)| cut(*device, false)).collect();
        let stays = |device: &DeviceId| self.sounds(from.scene, *device) && self.sounds(change.to.scene, *device);
        let devices = self.book.board.devices.pairs().filter(|(_, device)| device.programs_cut);
        let resent = devices.map(|(number, _)| number).filter(stays);
        change
            .tails
            .extend(resent.filter(|d| self.programmed(*d, from.scene, change.to.scene)).filter_map(|d| cut(d, true)));
    }

    /// A device is sent another program on the way from one scene to another.
    fn programmed(&self, device: DeviceId, from: SceneId, to: SceneId) -> bool {
        let controls = self.book.board.devices.get(device).into_iter().flat_map(|d| d.controls.pairs());
        let mut programs = controls.filter(|(_, c)| matches!(c.how, book::How::Programs { .. }));
        let setting = |scene, control| {
            let held = |column| self.table.stored(scene, column);
            self.table.cells.setting(device, control, held).filter(|s| matches!(s, Setting::State(_)))
        };
        programs
            .any(|(control, _)| setting(from, control).zip(setting(to, control)).is_some_and(|(was, now)| was != now))
    }

    /// A device sounds in a scene.
    fn sounds(&self, scene: SceneId, device: DeviceId) -> bool {
        Row::of(self.book, self.table, scene).sounds(device) == Answer::Yes
    }
}
