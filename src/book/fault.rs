//! What binding can find wrong, as data; the wording lives with the rules.

use std::sync::Arc;

use super::Plugged;
use super::device::Contact;
use crate::ids::SceneId;
use crate::source::Span;
use crate::syntax::units::Dimension;

/// Why a trim cannot be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoTrim {
    /// The switcher, described here, has none.
    Nowhere(Span),
    /// The output does not feed the device.
    NotFed,
    /// Another level is that trim already, said here.
    Twice(Span),
}

/// Why an order of loops cannot be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoOrder {
    /// The switcher, described here, has each preset in the order of the chains.
    Unit(Span),
    /// One loop alone has no order.
    Alone(u16),
    /// A loop is named a second time.
    Twice(u16),
    /// Two loops that do not follow each other inside the unit.
    Apart(u16, u16),
    /// A device in no loop, which is described here.
    InNoLoop(Span),
    /// A loop of a helper.
    Helper,
}

/// One mistake of meaning in what was read.
#[derive(Clone, PartialEq, Debug)]
pub enum Fault {
    /// A name that nothing has.
    UnknownName { at: Span, wanted: &'static str, near: Option<String> },
    /// A name that something else has: `solid` is a guitar.
    OtherKind { at: Span, wanted: &'static str, is: &'static str, there: Span },
    /// A song title that no song has.
    UnknownSong { at: Span, near: Option<String>, listed: bool },
    /// A pedal has no such control or level.
    ControlUnknown { at: Span, device: String, near: Option<String>, has: Arc<[String]>, there: Span },
    /// A control has no such state, or a level was given a word: `has` then holds its two ends.
    StateUnknown { at: Span, control: String, level: bool, near: Option<String>, has: Arc<[String]>, there: Span },
    /// Two of one name.
    DuplicateName { at: Span, first: Span, kind: &'static str },
    /// Two names that look alike.
    NamesAlike { at: Span, first: Span },
    /// A word of the language taken as a name.
    NameReserved { at: Span },
    /// The same fact said twice of one thing.
    SaidTwice { at: Span, first: Span },
    /// A contact that one preset is to pulse twice.
    PulsedTwice { at: Span, first: Span },
    /// `from` in a circle: each name with the place that names the next.
    CircularFrom { at: Span, circle: Vec<(String, Span)> },
    /// `like` in a circle.
    CircularLike { at: Span, circle: Vec<(String, Span)> },
    /// A device that is like another, or a set that derives from one, at the end of a line that is too long.
    LineTooLong { at: Span, word: &'static str },
    /// A unit that measures something else.
    UnitWrong { at: Span, wanted: Dimension },
    /// A value beyond its range; `there` is where the range is stated, if the book states it.
    OutOfRange { at: Span, what: String, range: String, there: Option<Span> },
    /// A level's range that starts and ends at one value, or mixes two dimensions.
    RangeEmpty { at: Span },
    /// Two levels on one expression port.
    PortShared { at: Span, first: Span, port: u16 },
    /// Two treadles on one plug.
    PortFedTwice { at: Span, first: Span, plugged: Plugged },
    /// Two controls on one contact that do not both say `shared`.
    ContactClaimed { at: Span, first: Span, contact: String },
    /// Two controls whose messages a channel cannot tell apart: of two devices that do not both say `shared`, or of one.
    ChannelClaimed { at: Span, first: Span, channel: u16, one_device: bool },
    /// Two pedals in one loop.
    LoopClaimed { at: Span, first: Span, number: u16 },
    /// A loop that the switcher lacks.
    LoopMissing { at: Span, has: u16 },
    /// A level on the trim of an output that cannot be.
    TrimMisplaced { at: Span, device: String, output: u16, why: NoTrim },
    /// A remote jack, expression port or output that the switcher lacks.
    JackMissing { at: Span, what: &'static str, has: u16 },
    /// A description left the jack's number open and the book does not say it.
    JackUnsaid { at: Span, device: String, control: String, jack: &'static str },
    /// A state whose contacts cannot be told.
    ContactUnclear { at: Span, control: String, why: Unclear, has: Vec<String> },
    /// A loop with nothing in it.
    LoopEmpty { at: Span, number: u16 },
    /// A bypass of what is always on.
    CannotBypass { at: Span, name: String, amp: bool, there: Span },
    /// A pedal that stands in no loop.
    NoLoop { at: Span, name: String, there: Span },
    /// What is said to engage a device cannot.
    EngagedUnclear { at: Span, name: String, control: String, why: NotEngaging, there: Span },
    /// What a helper is, or what is asked of it, cannot be understood.
    HelperUnclear { at: Span, name: String, why: HelperUnclear, there: Span },
    /// A message, or when it is sent, that cannot be; `there` is what says so.
    MessageUnclear { at: Span, name: String, why: MessageUnclear, there: Span },
    /// More combinations of a helper's loops than it has presets: `left_out` are the scenes whose combination has none.
    HelperFull { at: Span, name: String, wanted: usize, presets: usize, left_out: Vec<String> },
    /// A scene asks for a guitar that nothing chooses (`several` is empty), or that several settings let through.
    GuitarUnclear { at: Span, guitar: String, several: Vec<String>, there: Span },
    /// An order of loops that no preset can store.
    OrderUnclear { at: Span, why: NoOrder },
    /// A foot is asked for what it cannot move.
    FootCannotReach { at: Span, device: String, why: OutOfReach, there: Span },
    /// A tempo asked for in a way that the device does not take.
    TempoRefused { at: Span, device: String, why: Refused, there: Span },
    /// More of something than the tool can count: `at` is the first that is not counted.
    TooMany { at: Span, what: &'static str, of: Option<String>, most: usize },
    /// Two scenes in one slot.
    SlotTaken { at: Span, first: Span, slot: String, scenes: [SceneId; 2] },
    /// A slot that the switcher lacks.
    NoSuchSlot { at: Span, range: Option<String> },
    /// More scenes than slots.
    SlotsFull { at: Span, left_out: Vec<String>, slots: usize },
    /// The safe slot holds nothing that was pinned there.
    SafeUnsettled { at: Span, slot: String },
    /// Two labels of three letters that are one.
    CodeClash { at: Span, first: Span, code: String, made_up: bool },
    /// A code that is not three letters long.
    CodeLength { at: Span },
    /// `instead` before what the book does not have.
    NothingReplaced { at: Span, word: &'static str, name: String, near: Option<String> },
    /// A device stands for another, and lacks states that are asked of it, or a whole control: `has` are its states of
    /// that name, or its controls where nothing is `asked`.
    StateUnmapped { at: Span, device: String, control: String, asked: Vec<String>, has: Arc<[String]>, there: Span },
    /// The book has scenes but no switcher.
    SwitcherMissing { at: Span },
    /// What is asked of a preset's own switches and rows cannot be.
    Inside { at: Span, why: NotInside, there: Option<Span> },
}

impl Fault {
    /// Where the mistake is.
    pub fn at(&self) -> Span {
        match self {
            Fault::UnknownName { at, .. }
            | Fault::TooMany { at, .. }
            | Fault::OtherKind { at, .. }
            | Fault::UnknownSong { at, .. }
            | Fault::ControlUnknown { at, .. }
            | Fault::StateUnknown { at, .. }
            | Fault::DuplicateName { at, .. }
            | Fault::NamesAlike { at, .. }
            | Fault::NameReserved { at }
            | Fault::SaidTwice { at, .. }
            | Fault::PulsedTwice { at, .. }
            | Fault::CircularFrom { at, .. }
            | Fault::CircularLike { at, .. }
            | Fault::LineTooLong { at, .. }
            | Fault::UnitWrong { at, .. }
            | Fault::OutOfRange { at, .. }
            | Fault::RangeEmpty { at }
            | Fault::PortShared { at, .. }
            | Fault::PortFedTwice { at, .. }
            | Fault::ContactClaimed { at, .. }
            | Fault::ChannelClaimed { at, .. }
            | Fault::LoopClaimed { at, .. }
            | Fault::LoopMissing { at, .. }
            | Fault::JackMissing { at, .. }
            | Fault::TrimMisplaced { at, .. }
            | Fault::JackUnsaid { at, .. }
            | Fault::ContactUnclear { at, .. }
            | Fault::LoopEmpty { at, .. }
            | Fault::CannotBypass { at, .. }
            | Fault::NoLoop { at, .. }
            | Fault::EngagedUnclear { at, .. }
            | Fault::HelperUnclear { at, .. }
            | Fault::HelperFull { at, .. }
            | Fault::MessageUnclear { at, .. }
            | Fault::GuitarUnclear { at, .. }
            | Fault::OrderUnclear { at, .. }
            | Fault::FootCannotReach { at, .. }
            | Fault::TempoRefused { at, .. }
            | Fault::SlotTaken { at, .. }
            | Fault::NoSuchSlot { at, .. }
            | Fault::SlotsFull { at, .. }
            | Fault::SafeUnsettled { at, .. }
            | Fault::CodeClash { at, .. }
            | Fault::CodeLength { at }
            | Fault::NothingReplaced { at, .. }
            | Fault::StateUnmapped { at, .. }
            | Fault::Inside { at, .. }
            | Fault::SwitcherMissing { at } => *at,
        }
    }
}

/// Why a preset's switch, or its second row, cannot do what is asked.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NotInside {
    /// The switcher says nothing of such `switches`, or `rows`.
    Unsaid(&'static str),
    /// No switch of that name works inside a preset; those that do.
    NoSwitch(String),
    /// The switch calls a preset of its bank.
    CallsPresets(String),
    /// More switches than may do so in one preset.
    Most { word: &'static str, most: u32 },
    /// A level, which has no two states.
    Level,
    /// Only a hand or foot moves it.
    ByHand,
    /// It sounds always.
    AlwaysOn,
    /// It sits in a loop of a helper.
    OfHelper,
    /// A control of other than two states: which one is brought must be said.
    States(Vec<String>),
    /// Pulses move it.
    Pulses,
    /// A second row stands in the slot of a scene, not of a layer or the default.
    OfAScene,
    /// A scene is its own second row.
    Itself,
    /// The second row has a second row.
    Third,
    /// It is the second row of another scene too.
    Shared,
    /// It has a slot of its own too.
    Pinned,
    /// A part presses a switch twice.
    PressedTwice,
    /// A part presses a switch that only holds.
    Held,
    /// The switch does nothing in this scene.
    Idle(String),
    /// The same, with what layers, parents and the default say.
    MostOf { scene: String, word: &'static str, most: u32 },
    /// Two switches move the same thing.
    Same { scene: String },
    /// The scene has what the switch brings already.
    Already { scene: String },
    /// Nobody knows how it stands when the scene is called.
    StartUnknown { scene: String },
    /// Scenes times combinations are more than are looked at.
    TooMany(usize),
}

/// Why it cannot be told what a state stores.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Unclear {
    /// A state of a latching control that says nothing of its contacts.
    NothingSaid,
    /// A state of a momentary control on several contacts that says which of them is closed: a pulse holds nothing.
    Pulsed,
    /// A contact that the control does not move.
    NotItsOwn,
    /// `closed` alone, where the control moves several contacts.
    Several,
    /// One contact told twice.
    Twice,
    /// A state of a control by programs that names none.
    NoProgram,
    /// A state of a control by a controller's values that names none.
    NoValue,
    /// A state of a control by messages that lists none.
    NoMessage,
    /// Contacts, a program or a value, of a control that has none.
    NotMoved,
}

/// Why a message cannot be sent so.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum MessageUnclear {
    /// The switcher does not say that it sends on leaving, later, or only what changed.
    NotOnLeaving,
    NotLater,
    NotOnlyChanged,
    /// Later than it can, in milliseconds.
    TooLate(u32),
    /// A text of so many bytes, where so many are sent.
    TooLong(usize, u16),
    /// The bytes of a text.
    Bytes(WrongBytes),
    /// A scene engages or bypasses a listener.
    Engaged,
}

/// What is wrong with the bytes of a system exclusive text; places count from 1.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum WrongBytes {
    /// Not two hexadecimal digits.
    NoByte(usize),
    /// Above 7F, between the first and the last.
    NoData(usize),
    /// The first is not F0.
    NoBeginning,
    /// The last is not F7.
    NoEnd,
    /// Nothing says whose text it is.
    NoMaker,
}

/// Why a control cannot engage its device.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NotEngaging {
    /// It has not two states: one in, one out.
    States(usize),
    /// It only moves on, by pulses.
    Pulses,
    /// Another device hangs on its contacts.
    Shared,
    /// It is a level.
    Level,
    /// The device is in a loop, always on, or no pedal.
    Otherwise,
}

/// Why a device cannot be given a tempo so.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Refused {
    /// The clock gives beats; the note value is set on the device.
    Clock,
    /// Only a foot taps it.
    Foot,
    /// No way to give it a tempo is described.
    Nothing,
    /// The song says no tempo.
    SongUntimed,
    /// Its contact takes the pulses of a tempo, and holds nothing.
    Contact(Contact),
}

/// What is wrong with a helper, or with what is asked of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum HelperUnclear {
    /// It says no loops.
    NoLoops,
    /// It does not say how it is called, or says so twice.
    NoWay,
    /// Its contacts pulse, or move something else too.
    NotHeld,
    /// More contacts than loops: this many, and this many.
    Contacts(usize, u16),
    /// Presets are numbered, and each of its loops is called by itself.
    NoPresets,
    /// A pedal of a preset that sits in another loop, or in none.
    NotInIt(String),
    /// Two presets of one number, or with the same loops.
    Again,
    /// A scene engages or bypasses it.
    Engaged,
    /// A scene or a rule sets it.
    Set,
    /// A scene moves a contact that calls it.
    Contact(String),
}

/// Why a foot cannot move something.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OutOfReach {
    /// It is tucked under the raised row.
    Under,
    /// No treadle feeds its expression port.
    NoTreadle(u16),
    /// The preset sets it; a foot has nothing to move.
    NotByFoot,
    /// It is moved on the device itself: no treadle of the switcher reaches it.
    OnDevice,
    /// The treadle feeds this port, and moves what hangs there alone.
    Feeds(u16),
    /// It has no tap.
    NoTap,
}
