//! Electric facts as stated: of devices, guitars, supplies and leads. What nobody stated is None, and is never guessed.

use super::amount::Amount;
use super::scene::Spanned;
use crate::ids::{ControlId, DeviceId};
use crate::source::Span;

/// The electric facts of a device. Resistances in ohm, gain in dB.
#[derive(Clone, Debug, Default)]
pub struct Electric {
    /// What its input loads the source before it with, in ohm.
    pub input: Option<Spanned<Amount>>,
    /// The resistance behind its output, in ohm.
    pub output: Option<Spanned<Amount>>,
    /// The resistance behind its send, in ohm: of an amp's effects loop, an insert, a leg.
    pub send: Option<Spanned<Amount>>,
    /// The load of its return, in ohm.
    pub return_in: Option<Spanned<Amount>>,
    /// How much louder it makes things while it is engaged.
    pub gain: Option<Gain>,
    /// Where its power comes from, and how much.
    pub power: Option<Power>,
    /// Nothing that drives may stand between the guitar and it; where that is said.
    pub bare: Option<Span>,
    /// The battery that it runs on, where it runs on one.
    pub battery: Option<Battery>,
    /// What comes out stands upside down.
    pub inverts: bool,
    /// What comes out stands as it came in; where that is said.
    pub keeps: Option<Span>,
    /// The load of its key input, in ohm.
    pub key: Option<Spanned<Amount>>,
    /// What is plugged between its send and its return is heard while it is bypassed too; where that is said.
    pub insert_stays: Option<Span>,
    /// What it throws together, by name.
    pub legs: Vec<Leg>,
    /// What comes in may be no louder than a guitar; where that is said.
    pub instrument: Option<Span>,
    /// An amp's send or return is at line level; where that is said.
    pub line: Option<Span>,
    /// It has an earth of its own, by its mains lead; where that is said.
    pub earthed: Option<Span>,
    /// The leads at its jacks, unless a chain says otherwise.
    pub leads: Option<Lead>,
}

/// A gain, and how it is known.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Gain {
    /// The gain, in dB.
    pub level: Spanned<Amount>,
    /// Taken in the workshop, rather than stated.
    pub measured: bool,
}

/// A battery inside a device, as stated.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Battery {
    /// What it holds, in ampere-hours.
    pub charge: Spanned<Amount>,
    /// What the device draws of it, in ampere.
    pub current: Spanned<Amount>,
}

/// What a device, or the switcher, asks of an outlet.
#[derive(Clone, PartialEq, Debug)]
pub struct Power {
    /// The supply, an index of `Book::supplies`; None when it could not be found.
    pub supply: Option<usize>,
    /// The outlet, an index of `Supply::outlets`; None when it could not be found.
    pub outlet: Option<usize>,
    /// The current it draws, in ampere; None when its unit was wrong.
    pub current: Option<Spanned<Amount>>,
    /// The most it draws for a moment, as when it is switched on, in ampere; None when nobody stated it.
    pub peak: Option<Spanned<Amount>>,
    /// The lowest and highest voltage it takes, in volt.
    pub volts: Option<(Spanned<Amount>, Spanned<Amount>)>,
    /// Which way round it wants its plug.
    pub polarity: Option<Polarity>,
    /// It takes an alternating voltage.
    pub alternating: bool,
    /// Its lead turns the polarity round.
    pub reversed: bool,
    /// It wants an outlet that shares no ground with another.
    pub isolated: bool,
    /// Where it is said.
    pub at: Span,
}

/// What takes power from an outlet.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Taker {
    /// The switcher.
    Switcher,
    /// A device, an index of `Board::devices`.
    Device(DeviceId),
}

/// Which part of a DC plug is the centre.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Polarity {
    CentreNegative,
    CentrePositive,
}

impl Polarity {
    /// The other way round.
    pub fn turned(self) -> Polarity {
        match self {
            Polarity::CentreNegative => Polarity::CentrePositive,
            Polarity::CentrePositive => Polarity::CentreNegative,
        }
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Polarity::CentreNegative => "centre-negative",
            Polarity::CentrePositive => "centre-positive",
        }
    }
}

/// A supply.
#[derive(Clone, Debug)]
pub struct Supply {
    /// Its name.
    pub name: String,
    /// The text behind the name.
    pub title: Option<String>,
    /// Where it is described.
    pub at: Span,
    /// What is kept in hand of every outlet, in %.
    pub margin: Option<Spanned<Amount>>,
    /// The most that all its outlets together give, in ampere, if stated.
    pub total: Option<Spanned<Amount>>,
    /// Its outlets.
    pub outlets: Vec<Outlet>,
    /// Something in it could not be understood.
    pub faulty: bool,
}

/// An outlet of a supply.
#[derive(Clone, PartialEq, Debug)]
pub struct Outlet {
    /// Its name.
    pub name: String,
    /// Where it is named.
    pub at: Span,
    /// What it gives, in volt; None when the unit was wrong.
    pub volts: Option<Spanned<Amount>>,
    /// The most it gives, in ampere; None when the unit was wrong.
    pub current: Option<Spanned<Amount>>,
    /// The most it gives for a moment, in ampere; None when nobody stated it.
    pub peak: Option<Spanned<Amount>>,
    /// It gives an alternating voltage.
    pub alternating: bool,
    /// Which way round its plug is, if stated.
    pub polarity: Option<Polarity>,
    /// Whether its ground is its own (`isolated`) or common with other outlets (`shared`), if stated.
    pub isolated: Option<bool>,
}

/// A lead: how long it is, and its capacitance for each metre.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lead {
    /// In metre.
    pub length: Amount,
    /// In farad for each metre.
    pub per_metre: Amount,
    /// Where it is said.
    pub at: Span,
}

impl Lead {
    /// Its capacitance in farad: length times capacitance for each metre.
    pub fn farads(&self) -> f64 {
        self.length.value() * self.per_metre.value()
    }
}

/// The leads of a board of which nothing else says how long they are, by what they join. None where nobody said it.
#[derive(Clone, Copy, Default, PartialEq, Debug)]
pub struct Leads {
    /// Between two jacks.
    pub patch: Option<Lead>,
    /// From a guitar, and at an amp.
    pub guitar: Option<Lead>,
    pub amp: Option<Lead>,
    /// From remote jacks and expression ports, between MIDI jacks, and from outlets; in metre.
    pub remote: Option<Amount>,
    pub expression: Option<Amount>,
    pub midi: Option<Amount>,
    pub power: Option<Amount>,
    /// Where they are said.
    pub at: Span,
}

/// A pickup.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Pickup {
    /// Inductance of the coil, in henry.
    pub inductance: Amount,
    /// Resistance of the coil, in ohm.
    pub resistance: Amount,
    /// Capacitance of the winding, in farad.
    pub capacitance: Amount,
    /// What its iron and covers lose, as a resistance across the coil, in ohm; taken from a measurement, if it was.
    pub loss: Option<Amount>,
    /// Where it is said.
    pub at: Span,
}

/// A guitar's volume control.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Volume {
    /// Resistance from end to end, in ohm.
    pub track: Amount,
    /// How much of the track lies below the wiper, in %: 100 is full on.
    pub position: Amount,
    /// Where it is said.
    pub at: Span,
}

/// A jack of a device, beside its input and its output. A leg is an index of `Electric::legs`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OwnJack {
    Send,
    Return,
    LegSend(u16),
    LegReturn(u16),
    /// What it listens to and does not pass on.
    Key,
}

/// What a second name in a link must be.
pub const A_LEG: &str = "leg of the device";

/// One of the ways that a device throws together.
#[derive(Clone, PartialEq, Debug)]
pub struct Leg {
    /// Its name.
    pub name: String,
    /// Where it is named.
    pub at: Span,
    /// How loud it comes into the sum.
    pub level: LegLevel,
    /// The device turns it upside down.
    pub inverts: bool,
}

/// How loud a leg comes into the sum.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum LegLevel {
    /// Nobody said it, or it could not be understood.
    Unsaid,
    /// So many dB.
    Stated(Spanned<Amount>),
    /// As a level of the device stands, an index of its controls.
    By(ControlId),
}

/// The sides of a stereo jack.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Side {
    Left,
    Right,
}

impl Side {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// What stands in a chain.
#[derive(Clone, PartialEq, Debug)]
pub enum LinkWhat {
    /// The guitar in use, or one by name (an index of `Book::guitars`).
    Guitar(Option<usize>),
    /// Loops, the first and the last.
    Loops(u16, u16),
    /// An output of the switcher.
    Output(u16),
    /// A lead in place of the usual patch lead.
    Cable(Option<Lead>),
    /// A device (an index of `Board::devices`), a jack of it, and the sides that are plugged.
    Device { device: DeviceId, jack: Option<OwnJack>, sides: Vec<Side> },
    /// Not understood.
    Unknown,
}

/// A link of a chain.
#[derive(Clone, PartialEq, Debug)]
pub struct Link {
    /// What it is.
    pub what: LinkWhat,
    /// Where it is said.
    pub at: Span,
}

/// A chain of leads.
#[derive(Clone, PartialEq, Debug)]
pub struct Chain {
    /// Its name.
    pub name: String,
    /// Where it is named.
    pub at: Span,
    /// Its links, in the direction of the signal.
    pub links: Vec<Link>,
    /// Something in it could not be understood.
    pub faulty: bool,
}

/// What a jack of the panel leads to.
#[derive(Clone, PartialEq, Debug)]
pub enum PanelWhat {
    /// Whatever guitar is played.
    Guitar(Option<usize>),
    /// An output of the switcher.
    Output(u16),
    /// A remote jack of the switcher.
    Remote(u16),
    /// An expression port of the switcher.
    Expression(u16),
    /// A jack of a device.
    Device { device: DeviceId, jack: Option<OwnJack>, side: Option<Side> },
    /// Not understood.
    Unknown,
}

/// A jack in the board's outer panel.
#[derive(Clone, PartialEq, Debug)]
pub struct PanelJack {
    /// Leads out of the board, else into it.
    pub out: bool,
    /// Its number among the ins or the outs.
    pub number: u16,
    /// What it leads to.
    pub what: PanelWhat,
    /// Where it is said.
    pub at: Span,
}

/// The panel of a board.
#[derive(Clone, PartialEq, Debug)]
pub struct Panel {
    /// Where it is described.
    pub at: Span,
    /// Its jacks.
    pub jacks: Vec<PanelJack>,
    /// Something in it could not be understood.
    pub faulty: bool,
}
