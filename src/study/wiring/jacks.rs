//! Jacks, their names, and which of them hold nothing or too much.

use std::collections::BTreeMap;

use super::Lead;
use crate::book::electric::{OwnJack, PanelJack, PanelWhat, Side, Taker};
use crate::book::{Board, DeviceKind};
use crate::ids::DeviceId;
use crate::study::route::{Place, leg_of};

/// A jack. Devices, treadles, supplies and outlets are indexes of the book; a side is None for mono, else "is it the
/// right one?".
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Jack {
    Guitar(Option<usize>),
    PanelIn(u16),
    PanelOut(u16),
    /// Into and out of a stretch of loops: the loop at its head or tail.
    LoopsIn(u16, Option<bool>),
    LoopsOut(u16, Option<bool>),
    LoopSend(u16, Option<bool>),
    LoopReturn(u16, Option<bool>),
    SwitcherOut(u16),
    /// An input for guitars.
    GuitarIn(u16),
    Remote(u16),
    PortIn(u16),
    PortOut(u16),
    /// An input for a treadle.
    FootIn(u8),
    MidiOut,
    Input(DeviceId, Option<bool>),
    Output(DeviceId, Option<bool>),
    /// Of an amplifier's effects loop or a pedal's insert.
    Send(DeviceId),
    Return(DeviceId, Option<bool>),
    LegSend(DeviceId, u16),
    LegReturn(DeviceId, u16),
    Key(DeviceId),
    /// A device's remote jack: whether its tip and its ring are used.
    RemoteIn(DeviceId, bool, bool),
    ExpressionIn(DeviceId),
    MidiIn(DeviceId),
    MidiThru(DeviceId),
    Power(Taker),
    Outlet(usize, usize),
    Treadle(usize),
    /// The computer that calls the presets, and where it is plugged.
    Computer,
    CalledIn,
}

fn side(side: Option<bool>) -> &'static str {
    match side {
        None => "",
        Some(false) => " left",
        Some(true) => " right",
    }
}

/// Into or out of a stretch of loops, of the switcher or of a helper.
fn stretch(board: &Board, number: u16, way: &str) -> String {
    match board.helper_of(number) {
        Some((_, helper, own)) => format!("{} {way}, loop {own}", helper.name),
        None => format!("switcher {way}, loop {number}"),
    }
}

/// What is written on a lead's end.
pub fn end(board: &Board, jack: &Jack) -> String {
    let device = |d: DeviceId| board.devices.get(d).map_or("?", |d| d.name.as_str());
    match jack {
        Jack::Guitar(g) => g.and_then(|g| board.guitars.get(g)).map_or("guitar".to_owned(), |g| g.name.clone()),
        Jack::PanelIn(n) => format!("panel in {n}"),
        Jack::PanelOut(n) => format!("panel out {n}"),
        Jack::LoopsIn(n, s) => format!("{}{}", stretch(board, *n, "in"), side(*s)),
        Jack::LoopsOut(n, s) => format!("{}{}", stretch(board, *n, "out"), side(*s)),
        Jack::LoopSend(n, s) => format!("{} send{}", board.loop_says(*n), side(*s)),
        Jack::LoopReturn(n, s) => format!("{} return{}", board.loop_says(*n), side(*s)),
        Jack::SwitcherOut(n) => format!("output {n}"),
        Jack::GuitarIn(n) => format!("guitar input {n}"),
        Jack::Remote(n) => format!("remote {n}"),
        Jack::PortIn(n) => format!("expression {n} in"),
        Jack::PortOut(n) => format!("expression {n} out"),
        Jack::FootIn(n) => format!("foot input {n}"),
        Jack::MidiOut => "switcher MIDI out".to_owned(),
        Jack::Input(d, s) => format!("{} in{}", device(*d), side(*s)),
        Jack::Output(d, s) => format!("{} out{}", device(*d), side(*s)),
        Jack::Send(d) => format!("{} send", device(*d)),
        Jack::Return(d, s) => format!("{} return{}", device(*d), side(*s)),
        Jack::LegSend(d, leg) => format!("{} {} send", device(*d), leg_of(board, *d, *leg)),
        Jack::LegReturn(d, leg) => format!("{} {} return", device(*d), leg_of(board, *d, *leg)),
        Jack::Key(d) => format!("{} key", device(*d)),
        Jack::RemoteIn(d, tip, ring) => {
            let amp = board.devices.get(*d).is_some_and(|d| d.kind == DeviceKind::Amp);
            let contacts = match (tip, ring) {
                (true, true) => "",
                (false, true) => " (ring)",
                _ => " (tip)",
            };
            // On stage an amplifier's jack goes by what is usually plugged there.
            format!("{} {}{contacts}", device(*d), if amp { "foot switch" } else { "remote" })
        }
        Jack::ExpressionIn(d) => format!("{} expression", device(*d)),
        Jack::MidiIn(d) => format!("{} MIDI in", device(*d)),
        Jack::MidiThru(d) => format!("{} MIDI thru", device(*d)),
        Jack::Power(taker) => format!("{} power", board.taker(*taker)),
        Jack::Outlet(s, o) => {
            let supply = board.supplies.get(*s);
            let outlet = supply.and_then(|s| s.outlets.get(*o)).map_or("?", |o| &o.name);
            format!("{}.{outlet}", supply.map_or("?", |s| &s.name))
        }
        Jack::Computer => "computer MIDI out".to_owned(),
        Jack::CalledIn => "switcher MIDI in".to_owned(),
        Jack::Treadle(t) => board.treadles.get(*t).map_or(String::new(), |t| t.name.clone()),
    }
}

/// The jack that a lead leaves a place by.
pub(super) fn out_of(place: Place, side: Option<bool>) -> Jack {
    match place {
        Place::Guitar(g) => Jack::Guitar(g),
        Place::Loop(n) => Jack::LoopsOut(n, side),
        Place::Output(n) => Jack::SwitcherOut(n),
        Place::Device(d) => Jack::Output(d, side),
        Place::Amp(d) | Place::Send(d) | Place::Return(d) | Place::Key(d) => Jack::Send(d),
        Place::LegSend(d, leg) | Place::LegReturn(d, leg) => Jack::LegSend(d, leg),
    }
}

/// The jack that a lead reaches a place by.
pub(super) fn into(place: Place, side: Option<bool>) -> Jack {
    match place {
        Place::Guitar(g) => Jack::Guitar(g),
        Place::Loop(n) => Jack::LoopsIn(n, side),
        Place::Output(n) => Jack::SwitcherOut(n),
        Place::Device(d) | Place::Amp(d) => Jack::Input(d, None),
        Place::Send(d) => Jack::Send(d),
        Place::Return(d) => Jack::Return(d, side),
        Place::LegSend(d, leg) => Jack::LegSend(d, leg),
        Place::LegReturn(d, leg) => Jack::LegReturn(d, leg),
        Place::Key(d) => Jack::Key(d),
    }
}

/// The switcher's input that a guitar is plugged into, where a lead runs straight from it to the loops.
pub(super) fn guitar_in(board: &Board, from: Place, to: Place) -> Option<Jack> {
    let (Place::Guitar(Some(guitar)), Place::Loop(_)) = (from, to) else { return None };
    board.guitars.get(guitar)?.input.map(|input| Jack::GuitarIn(input.value))
}

impl Jack {
    /// The device that it is a jack of, an index of `Board::devices`.
    pub fn device(&self) -> Option<DeviceId> {
        match self {
            Jack::Input(d, _) | Jack::Output(d, _) | Jack::Send(d) | Jack::Return(d, _) => Some(*d),
            Jack::LegSend(d, _) | Jack::LegReturn(d, _) | Jack::Key(d) => Some(*d),
            Jack::RemoteIn(d, ..) | Jack::ExpressionIn(d) | Jack::MidiIn(d) | Jack::MidiThru(d) => Some(*d),
            Jack::Power(Taker::Device(d)) => Some(*d),
            _ => None,
        }
    }
}

/// A jack that stands on the stage beside the board: a guitar's, a treadle's, an amplifier's.
pub fn off_board(board: &Board, jack: &Jack) -> bool {
    let amp = |d: DeviceId| board.devices.get(d).is_some_and(|d| d.kind == DeviceKind::Amp);
    matches!(jack, Jack::Guitar(_) | Jack::Treadle(_) | Jack::Computer) || jack.device().is_some_and(amp)
}

fn panel_jacks(board: &Board) -> &[PanelJack] {
    board.panel.as_ref().map_or(&[], |p| p.jacks.as_slice())
}

/// The panel's jack for a place, if it has one.
pub(super) fn panel(board: &Board, place: Place, side: Option<bool>, to: bool) -> Option<Jack> {
    let right = |s: Option<Side>| s.is_none() || side.is_none() || s.map(|s| s == Side::Right) == side;
    let found = panel_jacks(board).iter().find(|jack| match (&jack.what, place) {
        (PanelWhat::Guitar(named), Place::Guitar(guitar)) => !to && (named.is_none() || *named == guitar),
        (PanelWhat::Output(n), Place::Output(output)) => !to && *n == output,
        (PanelWhat::Device { device, jack: None, .. }, Place::Amp(amp)) => to && *device == amp,
        (PanelWhat::Device { device, jack: Some(OwnJack::Send), .. }, Place::Send(amp)) => !to && *device == amp,
        (PanelWhat::Device { device, jack: Some(OwnJack::Return), side }, Place::Return(amp)) => {
            to && *device == amp && right(*side)
        }
        (PanelWhat::Device { device, jack: Some(OwnJack::LegSend(leg)), .. }, Place::LegSend(d, l)) => {
            !to && (*device, *leg) == (d, l)
        }
        (PanelWhat::Device { device, jack: Some(OwnJack::LegReturn(leg)), .. }, Place::LegReturn(d, l)) => {
            to && (*device, *leg) == (d, l)
        }
        (PanelWhat::Device { device, jack: Some(OwnJack::Key), .. }, Place::Key(d)) => to && *device == d,
        _ => false,
    });
    found.map(named)
}

/// The panel's jack for a remote jack of the switcher.
pub(super) fn remote_panel(board: &Board, number: u16) -> Option<Jack> {
    panel_jacks(board).iter().find(|j| j.what == PanelWhat::Remote(number)).map(named)
}

/// The panel's jack for an expression port: an out for what the port moves, an in for the treadle.
pub(super) fn port_panel(board: &Board, number: u16, out: bool) -> Option<Jack> {
    panel_jacks(board).iter().find(|j| j.what == PanelWhat::Expression(number) && j.out == out).map(named)
}

/// A jack of the panel.
pub fn named(jack: &PanelJack) -> Jack {
    if jack.out { Jack::PanelOut(jack.number) } else { Jack::PanelIn(jack.number) }
}

/// Jacks of the switcher and the panel that hold nothing, and jacks that more than one lead wants on one side.
pub(super) fn odd(board: &Board, leads: &[Lead]) -> (Vec<Jack>, Vec<(Jack, usize)>) {
    let mut starts: BTreeMap<&Jack, usize> = BTreeMap::new();
    let mut ends: BTreeMap<&Jack, usize> = BTreeMap::new();
    for lead in leads {
        *starts.entry(&lead.from).or_default() += 1;
        lead.to.iter().for_each(|to| *ends.entry(to).or_default() += 1);
    }
    let mut doubly: BTreeMap<Jack, usize> = BTreeMap::new();
    // An outlet may feed several plugs, which the budget looks at.
    for (jack, count) in starts.iter().chain(&ends).filter(|(j, n)| **n > 1 && !matches!(j, Jack::Outlet(..))) {
        doubly.insert((*jack).clone(), *count);
    }
    let mut numbers: BTreeMap<Jack, usize> = BTreeMap::new();
    for jack in panel_jacks(board) {
        *numbers.entry(named(jack)).or_default() += 1;
    }
    let used = |jack: &Jack| starts.contains_key(jack) || ends.contains_key(jack);
    let mut unused: Vec<Jack> = numbers.keys().filter(|j| !used(j)).cloned().collect();
    doubly.extend(numbers.into_iter().filter(|(_, count)| *count > 1));
    if let Some(switcher) = &board.switcher {
        let loops = (1..=switcher.loops).map(|n| Jack::LoopSend(n, None));
        unused.extend(loops.filter(|j| !used(j) && !matches!(j, Jack::LoopSend(n, _) if board.in_loop(*n).is_some())));
        unused.extend((1..=switcher.outputs).map(Jack::SwitcherOut).filter(|j| !used(j)));
        unused.extend((1..=switcher.jacks).map(Jack::Remote).filter(|j| !used(j)));
        unused.extend((1..=switcher.ports).map(Jack::PortOut).filter(|j| !used(j)));
        unused.extend((1..=switcher.inputs).map(Jack::FootIn).filter(|j| !used(j)));
    }
    for (s, supply) in board.supplies.iter().enumerate() {
        unused.extend((0..supply.outlets.len()).map(|o| Jack::Outlet(s, o)).filter(|j| !used(j)));
    }
    (unused, doubly.into_iter().collect())
}
