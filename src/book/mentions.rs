//! Names by place: which name of the book's own files stands where, and what it means there. Made by binding, when asked.
//!
//! What could not be bound is not in it, nor what nothing else asks for by its name: knobs, codes, the labels of parts. What
//! stands behind `was` is a name of another book, and means nothing here.

use rustc_hash::FxHashMap;

use super::Book;
use crate::ids::{ControlId, DeviceId, LayerId, SceneId, SongId};
use crate::source::{Files, Span};

/// What a name means: numbers are places in the book's lists. Devices and chains that are out tonight are counted behind the
/// others, in board order; the devices stand so in `Gone`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Meaning {
    /// A pedal, buffer, amplifier, helper or listener.
    Device(DeviceId),
    /// A control or level.
    Control(DeviceId, ControlId),
    /// A state of a control. Of a device that stands for another it may have a second name, that of the other's state.
    State(DeviceId, ControlId, u16),
    /// A leg.
    Leg(DeviceId, u16),
    /// A guitar.
    Guitar(usize),
    /// A treadle.
    Treadle(usize),
    /// A supply.
    Supply(usize),
    /// An outlet of a supply.
    Outlet(usize, usize),
    /// A chain.
    Chain(usize),
    /// A layer.
    Layer(LayerId),
    /// A scene.
    Scene(SceneId),
    /// A song, by its title.
    Song(SongId),
    /// A set, by its title.
    Set(usize),
}

/// A name where it stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Mention {
    /// Where it stands; a title with its quotes.
    pub at: Span,
    /// What it means.
    pub means: Meaning,
    /// The name is given here, not used.
    pub given: bool,
    /// False where it stands in the description of another device, and is handed on by `like`.
    pub own: bool,
}

/// All names of the book's own files, by place.
#[derive(Clone, Debug, Default)]
pub struct Mentions {
    /// In the order of the files. One name has several meanings where a description is handed on: its own comes first.
    all: Vec<Mention>,
    /// Places in `all`, by meaning.
    by_meaning: Vec<u32>,
}

impl Mentions {
    /// What binding noted, in the numbers of tonight's book.
    pub(super) fn of(mut all: Vec<Mention>, bound: &Book, tonight: &Book, files: &Files) -> Mentions {
        all.retain(|m| files.get(m.at.file).is_some_and(|f| !f.shipped) && m.means.is_in(bound));
        let (was, is) = (&bound.board, &tonight.board);
        let devices = now(was.devices.iter().map(|d| d.at), is.devices.iter().map(|d| d.at));
        let chains = now(was.chains.iter().map(|c| c.at), is.chains.iter().map(|c| c.at));
        for mention in &mut all {
            mention.means = match mention.means {
                Meaning::Chain(n) => Meaning::Chain(chains.get(n).copied().unwrap_or(n)),
                other => other.with_device(|d| devices.get(d.index()).map_or(d, |now| DeviceId::nth(*now))),
            };
        }
        all.sort_unstable_by_key(|m| (m.at, !m.own, m.means, !m.given));
        all.dedup();
        let mut by_meaning: Vec<u32> = (0..all.len() as u32).collect();
        by_meaning.sort_by_key(|n| all.get(*n as usize).map(|m| m.means));
        Mentions { all, by_meaning }
    }

    /// All of them, in the order of the files.
    pub fn all(&self) -> &[Mention] {
        &self.all
    }

    /// The name that stands at a place of a file, from its first byte to behind its last.
    pub fn at(&self, file: u32, offset: u32) -> Option<&Mention> {
        self.around(file, offset).first()
    }

    /// The same, in all its meanings.
    pub fn around(&self, file: u32, offset: u32) -> &[Mention] {
        // Names do not touch each other.
        let end = self.all.partition_point(|m| (m.at.file, m.at.start) <= (file, offset));
        let Some(last) = end.checked_sub(1).and_then(|n| self.all.get(n)) else { return &[] };
        let start = self.all.partition_point(|m| m.at < last.at);
        let holds = last.at.file == file && offset <= last.at.end;
        self.all.get(start..end).filter(|_| holds).unwrap_or(&[])
    }

    /// The names inside a stretch of a file.
    pub fn within(&self, at: Span) -> &[Mention] {
        let from = self.all.partition_point(|m| (m.at.file, m.at.start) < (at.file, at.start));
        let to = self.all.partition_point(|m| (m.at.file, m.at.start) < (at.file, at.end));
        self.all.get(from..to).unwrap_or(&[])
    }

    /// What exactly this name means.
    pub fn meaning(&self, name: Span) -> Option<Meaning> {
        self.at(name.file, name.start).filter(|m| m.at == name).map(|m| m.means)
    }

    /// All places where something is named, in the order of the files.
    pub fn of_one(&self, means: Meaning) -> impl Iterator<Item = &Mention> {
        let meaning = |n: &u32| self.all.get(*n as usize).map(|m| m.means);
        let from = self.by_meaning.partition_point(|n| meaning(n) < Some(means));
        let rest = self.by_meaning.iter().skip(from).take_while(move |n| meaning(n) == Some(means));
        rest.filter_map(|n| self.all.get(*n as usize))
    }

    /// Where its name is given: its own place before that of a description that it is like.
    pub fn given(&self, means: Meaning) -> Option<&Mention> {
        self.of_one(means).filter(|m| m.given).max_by_key(|m| (m.own, std::cmp::Reverse(m.at)))
    }
}

impl Meaning {
    /// The same of another device.
    pub(super) fn with_device(self, now: impl Fn(DeviceId) -> DeviceId) -> Meaning {
        match self {
            Meaning::Device(d) => Meaning::Device(now(d)),
            Meaning::Control(d, control) => Meaning::Control(now(d), control),
            Meaning::State(d, control, state) => Meaning::State(now(d), control, state),
            Meaning::Leg(d, leg) => Meaning::Leg(now(d), leg),
            other => other,
        }
    }

    /// A second thing of a taken name has no place in the book.
    fn is_in(self, book: &Book) -> bool {
        let (board, show) = (&book.board, &book.show);
        let control = |d: DeviceId, c: ControlId| board.devices.get(d)?.controls.get(c);
        match self {
            Meaning::Device(d) => board.devices.get(d).is_some(),
            Meaning::Control(d, c) => control(d, c).is_some(),
            Meaning::State(d, c, state) => control(d, c).is_some_and(|c| usize::from(state) < c.states.len()),
            Meaning::Leg(d, leg) => board.devices.get(d).is_some_and(|d| usize::from(leg) < d.electric.legs.len()),
            Meaning::Guitar(n) => n < board.guitars.len(),
            Meaning::Treadle(n) => n < board.treadles.len(),
            Meaning::Supply(n) => n < board.supplies.len(),
            Meaning::Outlet(n, outlet) => board.supplies.get(n).is_some_and(|s| outlet < s.outlets.len()),
            Meaning::Chain(n) => n < board.chains.len(),
            Meaning::Layer(n) => show.layers.get(n).is_some(),
            Meaning::Scene(n) => show.scenes.get(n).is_some(),
            Meaning::Song(n) => show.songs.get(n).is_some(),
            Meaning::Set(n) => n < show.sets.len(),
        }
    }
}

/// For each thing that was bound, by where it is named: its place among those of tonight, or behind them.
fn now(bound: impl Iterator<Item = Span>, tonight: impl Iterator<Item = Span>) -> Vec<usize> {
    let here: FxHashMap<Span, usize> = tonight.zip(0..).collect();
    let mut behind = here.len();
    let place = |at| {
        here.get(&at).copied().unwrap_or_else(|| {
            behind += 1;
            behind - 1
        })
    };
    bound.map(place).collect()
}
