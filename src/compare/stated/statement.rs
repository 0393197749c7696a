//! A statement of the files, as data.

use std::collections::BTreeMap;

use crate::syntax::kind::Kind;

/// Where a difference belongs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Area {
    /// The board, its devices, leads and supplies.
    Hardware,
    /// Knobs set by hand before the show.
    Knobs,
    /// Rules, limits, fallbacks, the safe switch, exceptions.
    Rules,
}

/// What a statement is about.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Subject {
    /// What a board has one of: the board itself, the switcher, the panel, patch leads, the limit of a level's step, the
    /// safe switch, the ways.
    The(Kind),
    /// A guitar, supply, device, treadle or chain, by its name.
    Named(Kind, String),
    /// A rule, by its text; one without, by what it says.
    Rule(String),
    /// What has no name, by what it says: a fallback, an exception.
    Saying(Kind, String),
}

/// Which fact of it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Fact {
    /// That it is there, and its title.
    Itself,
    /// What it has one of, as its loop or its power.
    Of(Kind),
    /// One of several, by its name: a knob, a control, a level, an outlet.
    Named(Kind, String),
    /// A jack of the panel: what it is for, and its number.
    PanelJack(String, Option<String>),
}

/// A statement that differs.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Stated {
    /// Where it belongs.
    pub area: Area,
    /// What it is about.
    pub about: Subject,
    /// Which fact of it.
    pub fact: Fact,
    /// What was said, in the file's words; None when nothing was.
    pub was: Option<String>,
    /// What is said now.
    pub now: Option<String>,
}

/// One statement: how it compares, and what it says.
pub(super) struct Line {
    pub(super) area: Area,
    /// What it is about in its own book's names, where that is not its key.
    pub(super) about: Option<Subject>,
    pub(super) compare: String,
    pub(super) says: String,
}

pub(super) type Lines = BTreeMap<(Subject, Fact), Line>;
