//! Rules, limits, and warnings met on purpose.

use super::device::Contact;
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::source::Span;

/// What a level is held against.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Bound {
    /// `at least`
    Least,
    /// `at most`
    Most,
    /// `above`
    Above,
    /// `below`
    Below,
    /// No word: the value itself.
    Exactly,
}

/// Something that is so or not so in a row. Devices, controls and states are indexes of the book.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Atom {
    /// This scene.
    Scene(SceneId),
    /// This scene and all that derive from it.
    Any(SceneId),
    /// A pedal, buffer or amp that sounds.
    Engaged { device: DeviceId },
    /// A loop engaged.
    Loop { number: u16 },
    /// A contact open or closed.
    Contact { contact: Contact, closed: bool },
    /// An output on or off.
    Output { number: u16, on: bool },
    /// A control in a state.
    State { device: DeviceId, control: ControlId, state: u16 },
    /// A level under the foot.
    Foot { device: DeviceId, control: ControlId },
    /// A level against a value, both as stored steps of its port; `falls` when the range runs downwards.
    Level { device: DeviceId, control: ControlId, bound: Bound, step: u16, falls: bool },
}

/// Atoms joined by `not`, `and`, `or`: `not` binds tightest, `or` least.
#[derive(Clone, PartialEq, Debug)]
pub enum Clause {
    /// One atom, and where it stands.
    Atom(Atom, Span),
    /// Denied.
    Not(Box<Clause>),
    /// All of them.
    All(Vec<Clause>),
    /// One of them or more.
    Some(Vec<Clause>),
}

/// What a rule asks.
#[derive(Clone, PartialEq, Debug)]
pub enum Form {
    /// `at most one of`
    AtMost(Vec<Clause>),
    /// `exactly one of`
    Exactly(Vec<Clause>),
    /// `never A`, `never A beside B`
    Never(Clause, Option<Clause>),
    /// `always A`
    Always(Clause),
    /// `A needs B`
    Needs(Clause, Clause),
}

/// A rule that was understood.
#[derive(Clone, PartialEq, Debug)]
pub struct Rule {
    /// Why, in its owner's words.
    pub title: Option<String>,
    /// The whole statement.
    pub at: Span,
    /// What it asks.
    pub form: Form,
}

/// `allow CODE NAME to NAME "reason"`.
#[derive(Clone, PartialEq, Debug)]
pub struct Allow {
    /// The whole statement.
    pub at: Span,
    /// The code, as written.
    pub code: String,
    /// Where it stands.
    pub code_at: Span,
    /// What it is about: no name, one, or the two sides of `to`.
    pub names: Vec<String>,
    /// Why the warning is met on purpose.
    pub reason: String,
    /// A name could not be understood.
    pub faulty: bool,
}

impl Clause {
    /// Calls `each` with every atom, in the order written.
    pub fn atoms(&self, each: &mut dyn FnMut(Atom, Span)) {
        match self {
            Clause::Atom(atom, at) => each(*atom, *at),
            Clause::Not(inner) => inner.atoms(each),
            Clause::All(list) | Clause::Some(list) => list.iter().for_each(|s| s.atoms(each)),
        }
    }
}

impl Form {
    /// Its parts, in the order written.
    pub fn parts(&self) -> Vec<&Clause> {
        match self {
            Form::AtMost(list) | Form::Exactly(list) => list.iter().collect(),
            Form::Never(a, b) => std::iter::once(a).chain(b).collect(),
            Form::Always(a) => vec![a],
            Form::Needs(a, b) => vec![a, b],
        }
    }
}
