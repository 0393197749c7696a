//! Scenes, layers, and what they say.

use smol_str::SmolStr;

use super::{LoopOrder, Travel};
use crate::ids::{ControlId, DeviceId, Id, Numbered, SayingId, SceneId};
use crate::source::Span;

/// A value and where it was said.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// The place.
    pub at: Span,
}

/// A stretch of a list that scenes share.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct SayingRange {
    /// The first.
    pub from: SayingId,
    /// One past the last.
    pub to: SayingId,
}

impl SayingRange {
    /// A statement is one of them.
    pub fn holds(self, saying: SayingId) -> bool {
        self.from <= saying && saying < self.to
    }

    /// The statements in it, in order.
    pub fn ids(self) -> impl DoubleEndedIterator<Item = SayingId> + ExactSizeIterator + Clone {
        (self.from.index()..self.to.index()).map(SayingId::nth)
    }
}

/// What a contact is told.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ContactValue {
    Open,
    Closed,
    Pulse,
}

/// Where a level stands.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum LevelValue {
    /// A stored step of the port.
    Step(u16),
    /// The foot moves it, from wherever it stands.
    Foot,
    /// The foot moves it, and starts at the heel.
    FromHeel,
    /// The foot moves it, and starts at the toe.
    FromToe,
    /// Nothing is sent.
    Stays,
}

/// One thing said; devices, controls and states are indexes.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum What {
    /// A loop engaged or bypassed.
    Loop { number: u16, on: bool },
    /// A pedal that is always on, engaged: nothing to store.
    AlwaysOn { device: DeviceId },
    /// A pedal in no loop, engaged or bypassed by a control of its own.
    Engaged { device: DeviceId, on: bool },
    /// A contact of a remote jack.
    Contact { jack: u16, ring: bool, value: ContactValue },
    /// An expression port.
    Port { port: u16, value: LevelValue },
    /// An output.
    Output { number: u16, on: bool },
    /// The switcher's input for guitars that is heard, from 1.
    Heard { input: u16 },
    /// The order in which the signal passes the unit's loops.
    Order { order: LoopOrder },
    /// An output that `mute` turns off: each as a saying of its own, so that each is overridden alone. Where no output is
    /// heard, one saying of output 0, which no cell holds.
    Mute { output: u16 },
    /// A control's state.
    Choice { device: DeviceId, control: ControlId, state: u16 },
    /// A level's value.
    Level { device: DeviceId, control: ControlId, value: LevelValue },
    /// A control or level left as it is.
    Stays { device: DeviceId, control: ControlId },
    /// A level that a treadle on an input moves.
    Moves { device: DeviceId, control: ControlId, travel: Travel },
    /// The treadle on an input moves nothing, or so something that is not there tonight: what it moved before it gives up.
    Treadle { input: u8, moves: Option<Travel> },
}

/// Something said, and where.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Saying {
    /// What.
    pub what: What,
    /// The statement, or its part when it names several.
    pub at: Span,
}

/// A scene.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Its name, in NFC.
    pub name: SmolStr,
    /// Where it is named.
    pub at: Span,
    /// The text behind the name, with its quotes; empty when there is none.
    pub title: Span,
    /// The scene it derives from.
    pub parent: Option<SceneId>,
    /// Its layers, a stretch of `Show::mixed`: the first, and one past the last.
    pub layers: (u32, u32),
    /// Its own sayings.
    pub own: SayingRange,
    /// Its name on the last tour; empty when it was not renamed.
    pub was: Span,
    /// Something in it, or what it builds on, could not be understood.
    pub faulty: bool,
    /// It is stored and played nowhere: a second scene of one name, read for its mistakes alone; or one that others derive
    /// from, and that another stands for tonight.
    pub repeated: bool,
    /// The switches with which it is its parent pressed, a bit each; it is `repeated` then too, as nothing stores it.
    pub pressed: u8,
}

// Books have many thousand.
const _: () = assert!(size_of::<Scene>() <= 88);

/// A layer.
#[derive(Clone, Debug)]
pub struct Layer {
    /// Its name.
    pub name: Box<str>,
    /// Where it is named.
    pub at: Span,
    /// Its sayings.
    pub own: SayingRange,
    /// Something in it could not be understood.
    pub faulty: bool,
}

/// Scene numbers, parents before children. Links must hold no circle.
pub fn order(scenes: &Numbered<SceneId, Scene>) -> Vec<SceneId> {
    parents_first(scenes.len(), |id| scenes.get(id).and_then(|s| s.parent))
}

/// The numbers below `count`, each behind what it hangs from. Links must hold no circle.
pub fn parents_first<I: Id>(count: usize, above: impl Fn(I) -> Option<I>) -> Vec<I> {
    let mut done = vec![false; count];
    let mut out = Vec::with_capacity(count);
    let mut line = Vec::new();
    for start in 0..count {
        let mut at = Some(I::nth(start));
        while let Some(id) = at.filter(|id| done.get(id.index()) == Some(&false)) {
            line.push(id);
            if let Some(flag) = done.get_mut(id.index()) {
                *flag = true;
            }
            at = above(id);
        }
        out.extend(line.drain(..).rev());
    }
    out
}
