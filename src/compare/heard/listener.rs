//! Two scenes heard against each other.

use rustc_hash::FxHashMap;

use super::change::{Change, Standing, What};
use super::order::Orders;
use super::tone::{Tone, Tones};
use crate::Compiled;
use crate::book::{Device, amount};
use crate::compare::pairing::Matched;
use crate::compare::sound::{Fact, Heard, Key, Sound, both};
use crate::ids::SceneId;
use crate::settle::Value;

/// Hears two books against each other.
pub(super) struct Listener<'c> {
    old: Sound<'c>,
    new: Sound<'c>,
    /// Rows may be compared as they stand: the same cells, the same devices.
    plain: bool,
    known: FxHashMap<(SceneId, SceneId), Vec<Change>>,
    orders: Orders,
    /// Made when first needed.
    tones: Option<Tones<'c>>,
    /// The boards differ: level and treble may differ anywhere.
    pub(super) board: bool,
}

impl<'c> Listener<'c> {
    /// Ready to listen; `board` says whether the boards differ.
    pub(super) fn new(old: &'c Compiled, new: &'c Compiled, matched: &Matched, board: bool) -> Listener<'c> {
        let (left, right) = both(old, new, &matched.devices.to_new);
        let cells = |c: &'c Compiled| &c.table.cells.list;
        let orders = Orders::new(old, new, matched);
        let treadles =
            |c: &Compiled| c.book.board.treadles.iter().map(|t| (t.plugged, t.name.clone())).collect::<Vec<_>>();
        let plain = orders.same()
            && left.as_plugged()
            && treadles(old) == treadles(new)
            && old.book.board.devices.len() == new.book.board.devices.len()
            && old.book.board.devices.iter().zip(&new.book.board.devices).all(|(a, b)| {
                a.kind == b.kind
                    && a.loop_at.map(|l| l.value) == b.loop_at.map(|l| l.value)
                    && a.always_on == b.always_on
                    && a.fed_by.map(|f| f.value) == b.fed_by.map(|f| f.value)
                    && a.watched() == b.watched()
                    && a.engaged_by.map(|by| (by.control, by.engaged))
                        == b.engaged_by.map(|by| (by.control, by.engaged))
                    && same_controls(a, b)
            })
            && matched.devices.to_new.pairs().all(|(at, to)| *to == Some(at))
            && cells(old).len() == cells(new).len()
            && cells(old).iter().zip(cells(new)).all(|(a, b)| a.kind == b.kind && a.steps == b.steps);
        Listener { old: left, new: right, plain, known: FxHashMap::default(), orders, tones: None, board }
    }

    /// What is heard differently between an old scene and a new one.
    pub(super) fn changes(&mut self, old: SceneId, new: SceneId) -> &[Change] {
        if self.plainly_same(old, new) {
            return &[];
        }
        if !self.known.contains_key(&(old, new)) {
            let changes = self.listen(old, new);
            self.known.insert((old, new), changes);
        }
        self.known.get(&(old, new)).map_or(&[], Vec::as_slice)
    }

    fn listen(&self, old: SceneId, new: SceneId) -> Vec<Change> {
        // Of a scene with a mistake in it nothing is sure, in a draft.
        let known = |sound: &Sound<'c>, id: SceneId| !sound.compiled.book.show.scene(id).is_some_and(|s| s.faulty);
        let says = |known: bool| Some(if known { Standing::Known } else { Standing::Cell(Value::Unknown) });
        match (known(&self.old, old), known(&self.new, new)) {
            (true, true) => {}
            (false, false) => return Vec::new(),
            (was, now) => {
                return vec![Change { what: What::Sound, was: says(was), now: says(now) }];
            }
        }
        let (was, now) = (self.old.of(old), self.new.of(new));
        let mut out = Vec::new();
        let (mut a, mut b) = (was.iter().peekable(), now.iter().peekable());
        loop {
            let (left, right) = match (a.peek(), b.peek()) {
                (None, None) => break,
                (Some(_), None) => (a.next(), None),
                (None, Some(_)) => (None, b.next()),
                (Some(x), Some(y)) if x.key < y.key => (a.next(), None),
                (Some(x), Some(y)) if y.key < x.key => (None, b.next()),
                _ => (a.next(), b.next()),
            };
            if let (Some(x), Some(y)) = (left, right)
                && x.value.same(y.value)
            {
                continue;
            }
            // An order is told as such, below.
            let Some(key) = left.or(right).map(|f| f.key).filter(|key| *key != Key::Order) else { continue };
            let was = left.map(|f| standing(&self.old, old, f));
            let now = right.map(|f| standing(&self.new, new, f));
            if !one(was.as_ref(), now.as_ref()) {
                out.push(Change { what: self.what(key), was, now });
            }
        }
        if let Some((was, now)) = self.orders.turned((self.old.compiled, old), (self.new.compiled, new)) {
            let order = |names| Some(Standing::Order(names));
            out.push(Change { what: What::Order, was: order(was), now: order(now) });
        }
        out
    }

    fn what(&self, key: Key) -> What {
        let found =
            |d: u32| self.new.device(d).map(|at| (&self.new, at)).or(self.old.device(d).map(|at| (&self.old, at)));
        let device = |d: u32| found(d).and_then(|(sound, at)| sound.compiled.book.board.devices.get(at));
        match key {
            Key::Device(d) => match device(d) {
                Some(device) if device.watched() => What::Tuner(device.name.clone()),
                Some(device) if device.fed_by.is_some() => What::Amp(device.name.clone()),
                other => What::Pedal(other.map_or(String::new(), |d| d.name.clone())),
            },
            Key::Setting(d, c) => {
                let control = |sound: &Sound<'c>| Some(sound.control(sound.device(d)?, c)?.name.clone());
                let control = control(&self.new).or_else(|| control(&self.old)).unwrap_or_default();
                What::Setting(device(d).map_or(String::new(), |d| d.name.clone()), control)
            }
            Key::Loop(n) => What::Loop(n),
            Key::Contact(contact) => What::Contact(contact),
            Key::Port(n) => What::Port(n),
            Key::Output(n) => What::Output(n),
            Key::Guitar => What::Guitar,
            Key::Order => What::Order,
        }
    }

    /// True when the boards are the same and two scenes are stored alike. Quick, and it may say no of scenes that sound
    /// the same.
    pub(super) fn plainly_same(&self, old: SceneId, new: SceneId) -> bool {
        self.plain && self.old.compiled.table.row(old) == self.new.compiled.table.row(new)
    }

    /// How level and treble change between an old scene on an old guitar and a new scene on a new one.
    pub(super) fn tone(&mut self, old: (SceneId, usize), new: (SceneId, usize)) -> Tone {
        let (was, now) = (self.old.compiled, self.new.compiled);
        self.tones.get_or_insert_with(|| Tones::new(was, now)).between(old, new)
    }
}

/// A fact by the names of its own book.
fn standing(sound: &Sound<'_>, scene: SceneId, fact: &Fact) -> Standing {
    let (device, control) = match fact.key {
        Key::Setting(d, c) => (sound.device(d), c),
        _ => (None, 0),
    };
    let found = match fact.value {
        Heard::In => Some(Standing::In),
        Heard::Silent => Some(Standing::Silent),
        Heard::Raw(Value::State(_)) => None,
        Heard::Raw(value) => Some(Standing::Cell(value)),
        Heard::Plugged(_, input) => Some(Standing::State(sound.compiled.book.board.plugged(input))),
        Heard::Pattern(_) => Some(Standing::Unlisted),
        Heard::State(state) => {
            device.and_then(|d| sound.state(d, control, state)).map(|name| Standing::State(name.to_owned()))
        }
        Heard::Moved { .. } => device.and_then(|d| sound.moved(scene, d, control)).map(Standing::Moved),
        Heard::Level { .. } => device.and_then(|d| sound.level(scene, d, control)).map(Standing::Level),
    };
    found.unwrap_or(Standing::Cell(Value::Unknown))
}

/// True of what reads as one to its reader: levels that are shown by one number, and all that is as it was.
fn one(was: Option<&Standing>, now: Option<&Standing>) -> bool {
    match (was, now) {
        (Some(Standing::Level(a)), Some(Standing::Level(b))) => amount::show(*a) == amount::show(*b),
        (a, b) => a == b,
    }
}

fn same_controls(a: &Device, b: &Device) -> bool {
    a.controls.len() == b.controls.len()
        && a.controls.iter().zip(&b.controls).all(|(a, b)| {
            a.name == b.name
                && a.how == b.how
                && a.states.len() == b.states.len()
                && a.states
                    .iter()
                    .zip(&b.states)
                    .all(|(a, b)| a.name == b.name && a.pattern == b.pattern && a.program == b.program)
        })
}
