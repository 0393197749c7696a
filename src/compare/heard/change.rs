//! What is heard differently, as data.

use super::tone::Tone;
use crate::book::Amount;
use crate::book::device::Contact;
use crate::settle::Value;

/// One difference in what is heard. None is "not there": a pedal that is out, a setting of a pedal that is out.
#[derive(Clone, PartialEq, Debug)]
pub struct Change {
    /// What it is about.
    pub what: What,
    /// How it was.
    pub was: Option<Standing>,
    /// How it is now.
    pub now: Option<Standing>,
}

/// What a difference is about.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum What {
    /// A pedal goes in or out.
    Pedal(String),
    /// An amp sounds or is silent.
    Amp(String),
    /// A tuner sees the guitar or does not.
    Tuner(String),
    /// A control or level: device, control.
    Setting(String, String),
    /// A loop that no pedal sits in.
    Loop(u16),
    /// A contact that no control uses.
    Contact(Contact),
    /// An expression port that no level uses.
    Port(u16),
    /// An output that feeds no amp.
    Output(u16),
    /// Which guitar is heard.
    Guitar,
    /// Which comes after which, of devices that sound before and after.
    Order,
    /// The whole sound, of a scene with a mistake in it.
    Sound,
}

/// How something stands.
#[derive(Clone, PartialEq, Debug)]
pub enum Standing {
    /// A pedal is in.
    In,
    /// An amp is silent.
    Silent,
    /// A control in a state, by its name.
    State(String),
    /// A level.
    Level(Amount),
    /// A level that a treadle moves: which, and from where to where.
    Moved(String),
    /// The foot holds it, or it stays, or it is not known, or a value of a cell that nobody uses.
    Cell(Value),
    /// Contacts in a pattern that the control does not list.
    Unlisted,
    /// Devices one after the other, by their names.
    Order(Vec<String>),
    /// Of a scene without a mistake.
    Known,
}

/// A part of a song that differs.
#[derive(Clone, PartialEq, Debug)]
pub struct PartChange {
    /// Its place in the song, from 0: in the new song, or in the old one when it is gone.
    pub at: usize,
    /// What it is called in the old song; None when it is new.
    pub was: Option<String>,
    /// What it is called in the new song; None when it is gone.
    pub now: Option<String>,
    /// The scene it plays, old and new.
    pub scenes: (Option<String>, Option<String>),
    /// What is heard differently.
    pub changes: Vec<Change>,
    /// How level and treble change.
    pub tone: Tone,
    /// What the hand or foot no longer does, and what it does now.
    pub notes: (Vec<NoteSaid>, Vec<NoteSaid>),
}

/// What a part asks of hand and foot.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NoteSaid {
    /// On another guitar, otherwise tuned, with the capo elsewhere (0: none).
    On(String),
    Tuning(String),
    Capo(u32),
    /// A note value tapped on a device; None for a device that the book does not have.
    Tap {
        device: Option<String>,
        value: String,
    },
    /// By hand.
    Hand(String),
    /// What to listen or look for.
    Cue(String),
    /// How often the part is played in a row.
    Times(u32),
    /// How long it lasts, in seconds.
    Lasts(u32),
    /// It is called from outside.
    Outside,
    /// A reminder.
    Reminder(String),
}

/// What differs in what a song needs ready.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SongFact {
    /// Which.
    pub kind: SongFactKind,
    /// As it was; None when nothing was said.
    pub was: Option<String>,
    /// As it is.
    pub now: Option<String>,
}

/// What a song needs ready.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SongFactKind {
    /// In beats per minute.
    Tempo,
    /// By its name.
    Guitar,
    Tuning,
    Key,
    Capo,
    CountIn,
    /// In minutes and seconds.
    Length,
    Note,
}

/// A song that differs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SongChange {
    /// Its old title; None when it is new.
    pub was: Option<String>,
    /// Its new title; None when it is gone.
    pub now: Option<String>,
    /// Tempo, guitar and tuning, where they differ.
    pub facts: Vec<SongFact>,
    /// Its parts.
    pub parts: Vec<PartChange>,
    /// The same parts in another order.
    pub reordered: bool,
}

/// A scene that differs.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct SceneChange {
    /// Its old name; None when it is new.
    pub was: Option<String>,
    /// Its new name; None when it is gone.
    pub now: Option<String>,
    /// What is heard differently.
    pub changes: Vec<Change>,
    /// How level and treble change, on each guitar that both books have and on which they do.
    pub tones: Vec<(String, Tone)>,
    /// The songs of its own book that play it.
    pub songs: Vec<String>,
}

impl SongChange {
    /// The title it goes by.
    pub fn name(&self) -> &str {
        self.now.as_deref().or(self.was.as_deref()).unwrap_or("")
    }

    /// True when there is something to tell.
    pub fn differs(&self) -> bool {
        self.was != self.now || !self.facts.is_empty() || !self.parts.is_empty() || self.reordered
    }
}

impl SceneChange {
    /// The name it goes by.
    pub fn name(&self) -> &str {
        self.now.as_deref().or(self.was.as_deref()).unwrap_or("")
    }
}
