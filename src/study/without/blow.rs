//! What each part that dies takes with it.

use super::heard::{Blow, Column, Held, Mark};
use super::part::Part;
use super::{Board, Told};
use crate::book::electric::Taker;
use crate::book::out::with_inside;
use crate::book::{Book, DeviceKind, Plugged};
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{CellKind, Setting, Value};
use crate::study::route::{Place, Route};
use crate::study::wiring::{Jack, Lead, Purpose};

/// What dies with a part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Struck {
    /// Presets are heard otherwise.
    Presets(Blow),
    /// The guitar that is played on.
    Guitar(usize),
    /// All that switches.
    Switcher,
}

/// What dies with a part, in the plays that are looked at.
pub(super) fn of(told: &Told<'_>, part: Part) -> Struck {
    let board = &told.book.board;
    Struck::Presets(match part {
        Part::Device(d) => out(with_inside(told.book, &[d])),
        Part::Channel { amp, control, state } => Blow { silent: Some((amp, control, state as u16)), ..Blow::default() },
        Part::Guitar(g) => return Struck::Guitar(g),
        Part::Loop(n) => out(board.loop_holds(n)),
        Part::Remote(jack) => pulled(told, |at| at == jack),
        Part::Output(n) => {
            let cell = told.table.cells.output_cell(n);
            Blow { cells: cell.map(|cell| (cell, Held::At(Value::Off))).into_iter().collect(), ..Blow::default() }
        }
        Part::Treadle(t) => board.treadles.get(t).map_or(Blow::default(), |t| treadle(told, t.plugged)),
        Part::Supply(s) => return powered(told.book, |supply, _| supply == s),
        Part::Outlet(s, o) => return powered(told.book, |supply, outlet| (supply, outlet) == (s, o)),
        Part::Switcher => return Struck::Switcher,
        Part::Lead(l) => return told.wiring.leads.get(l).map_or(Struck::Presets(Blow::default()), |l| lead(told, l)),
    })
}

/// A contact or message that a helper is called by does not come any more: nobody knows which of its loops are in then, so
/// that what sits in it is taken for out.
fn uncalled(told: &Told<'_>, dead: impl Fn(ColumnId) -> bool) -> Vec<DeviceId> {
    let calls = told.table.cells.list.numbered().filter(|(cell, at)| cell.calls && dead(*at));
    let helpers: Vec<DeviceId> = calls.flat_map(|(cell, _)| &cell.users).map(|(d, _)| *d).collect();
    let is_helper = |d: &DeviceId| told.book.board.devices.get(*d).is_some_and(|d| d.helper.is_some());
    let helpers: Vec<DeviceId> = helpers.into_iter().filter(is_helper).collect();
    let mut out: Vec<DeviceId> = with_inside(told.book, &helpers);
    out.retain(|d| !is_helper(d));
    out.sort_unstable();
    out.dedup();
    out
}

fn out(devices: impl IntoIterator<Item = DeviceId>) -> Blow {
    Blow { out: devices.into_iter().collect(), ..Blow::default() }
}

/// All that takes power there.
fn powered(book: &Book, there: impl Fn(usize, usize) -> bool) -> Struck {
    let board = &book.board;
    let mut dead = Vec::new();
    for taker in board.takers() {
        let hangs = board.power(taker).and_then(|p| p.supply.zip(p.outlet)).is_some_and(|(s, o)| there(s, o));
        match taker {
            Taker::Switcher if hangs => return Struck::Switcher,
            Taker::Device(d) if hangs => dead.push(d),
            _ => {}
        }
    }
    Struck::Presets(out(with_inside(book, &dead)))
}

/// Remote jacks that are pulled: what latches sees an open contact, what is pulsed stays where a hand leaves it.
fn pulled(told: &Told<'_>, jack: impl Fn(u16) -> bool) -> Blow {
    let mut cells = Vec::new();
    for (cell, at) in told.table.cells.list.numbered() {
        match cell.kind {
            CellKind::Contact(_) if cell.calls => {}
            CellKind::Contact(contact) if jack(contact.jack) && cell.pulses() => cells.extend(left(told, at)),
            CellKind::Taps { contact, .. } if jack(contact.jack) => cells.extend(left(told, at)),
            CellKind::Contact(contact) if jack(contact.jack) => cells.push((at, Held::At(Value::Off))),
            _ => {}
        }
    }
    let contact = |at: ColumnId| match told.table.cells.list.get(at).map(|c| c.kind) {
        Some(CellKind::Contact(contact)) => jack(contact.jack),
        _ => false,
    };
    Blow { cells, out: uncalled(told, contact), ..Blow::default() }
}

/// What a treadle moves, it moves no more.
fn treadle(told: &Told<'_>, plugged: Plugged) -> Blow {
    match plugged {
        Plugged::Port(number) => port(told, number, Held::NoFoot),
        Plugged::Input(input) => {
            let levels = told.table.cells.list.numbered().filter(|(cell, _)| cell.steps > 0);
            Blow { cells: levels.map(|(_, cell)| (cell, Held::NoTreadle(input))).collect(), ..Blow::default() }
        }
    }
}

fn port(told: &Told<'_>, number: u16, held: Held) -> Blow {
    let cell = told.table.cells.list.position(|c| c.kind == CellKind::Port(number));
    Blow { cells: cell.map(|cell| (cell, held)).into_iter().collect(), ..Blow::default() }
}

/// The value that a hand leaves a cell at for good: the one that most parts want while it is heard; of equal ones the
/// first of its states, or the lowest.
fn left(told: &Told<'_>, cell: ColumnId) -> Option<(ColumnId, Held)> {
    let (device, control) = *told.table.cells.list.get(cell)?.users.first()?;
    let column = told.columns.list.iter().position(|c: &Column| (c.device, c.control) == (device, Some(control)));
    let heard = |scene: SceneId| match column {
        Some(column) => told.heard(scene).get(column).copied(),
        None => Some(Mark::In),
    };
    let mut counted: Vec<(Value, usize)> = Vec::new();
    for play in told.plays.iter().filter(|p| heard(p.scene).is_some_and(|mark| mark != Mark::Out)) {
        let value = told.table.value(play.scene, cell);
        match counted.iter_mut().find(|(known, _)| *known == value) {
            Some((_, many)) => *many += 1,
            None => counted.push((value, 1)),
        }
    }
    let rank = |value: Value| match value {
        Value::State(n) | Value::Program(n) | Value::Step(n) => u32::from(n),
        _ => u32::MAX,
    };
    counted.sort_by_key(|(value, many)| (std::cmp::Reverse(*many), rank(*value)));
    counted.first().map(|(value, _)| (cell, Held::At(*value)))
}

/// How a control stands after a blow, whatever the presets store.
pub(super) fn stands(told: &Told<'_>, blow: &Blow, device: DeviceId, control: ControlId) -> Option<Setting> {
    let held = |cell: ColumnId| match blow.cells.iter().find(|(at, _)| *at == cell) {
        Some((_, Held::At(value))) => *value,
        _ => Value::Unknown,
    };
    told.table.cells.setting(device, control, held)
}

fn lead(told: &Told<'_>, lead: &Lead) -> Struck {
    let board = &told.book.board;
    let in_loop = |n: u16| board.loop_holds(n);
    Struck::Presets(match lead.purpose {
        Purpose::Chain(edge) => {
            let of_edge = || match told.route.edges.get(edge).map(|e| e.from) {
                Some(Place::Guitar(guitar)) => guitar,
                _ => None,
            };
            let own = if let Jack::Guitar(guitar) = lead.from { guitar } else { None };
            if let Some(guitar) = own.or_else(of_edge) {
                let amps = board.devices.pairs().filter(|(_, d)| d.kind == DeviceKind::Amp);
                Blow { guitar: Some(guitar), ..out(amps.map(|(at, _)| at)) }
            } else {
                let beside = told.columns.inside().and_then(|inside| inside.beside(board, edge));
                out(beside.unwrap_or_else(|| lost(board, told.route, edge)))
            }
        }
        Purpose::Send(n) | Purpose::Return(n) => out(in_loop(n)),
        Purpose::Remote(jack) => {
            // A lead that splits, or the one to the panel, takes all that hangs on the jack.
            pulled(told, |at| at == jack)
        }
        Purpose::Expression(n) => port(told, n, Held::At(Value::Stays)),
        Purpose::Treadle(n) => treadle(told, n),
        Purpose::Midi => messages(told, lead),
        // The foot presses instead.
        Purpose::Called => Blow::default(),
        Purpose::Power => match lead.to.first() {
            Some(Jack::Power(Taker::Switcher)) => return Struck::Switcher,
            Some(Jack::Power(Taker::Device(d))) => out(with_inside(told.book, &[*d])),
            _ => Blow::default(),
        },
    })
}

/// No message reaches the device at the end of a lead, nor those behind it on the line.
fn messages(told: &Told<'_>, lead: &Lead) -> Blow {
    let mut dead: Vec<DeviceId> = lead.device.into_iter().collect();
    let next = |from: DeviceId| {
        let mut line = told.wiring.leads.iter().filter(|l| l.purpose == Purpose::Midi);
        line.find(|l| l.from == Jack::MidiThru(from)).and_then(|l| l.device)
    };
    while let Some(more) = dead.last().and_then(|d| next(*d)).filter(|d| !dead.contains(d)) {
        dead.push(more);
    }
    let mut cells = Vec::new();
    for (cell, at) in told.table.cells.list.numbered() {
        let dies = matches!(cell.kind, CellKind::Message { device, .. } if dead.contains(&device));
        if dies && !cell.calls {
            cells.extend(left(told, at));
        }
    }
    let sent = |at: ColumnId| match told.table.cells.list.get(at).map(|c| c.kind) {
        Some(CellKind::Message { device, .. }) => dead.contains(&device),
        _ => false,
    };
    Blow { cells, out: uncalled(told, sent), ..Blow::default() }
}

/// The amps that hear nothing any more when an edge is gone.
fn lost(board: &Board, route: &Route, edge: usize) -> Vec<DeviceId> {
    let (with, less) = (reached(route, None), reached(route, Some(edge)));
    let gone = |place: Place| with.contains(&place) && !less.contains(&place);
    let amps = board.devices.ids();
    amps.filter(|amp| gone(Place::Amp(*amp)) || gone(Place::Return(*amp))).collect()
}

/// The places that something comes to, from where nothing comes.
fn reached(route: &Route, without: Option<usize>) -> Vec<Place> {
    let starts = route.edges.iter().map(|e| e.from).filter(|from| !route.edges.iter().any(|e| e.to == *from));
    let mut open: Vec<Place> = starts.collect();
    let mut seen = Vec::new();
    while let Some(place) = open.pop() {
        if seen.contains(&place) {
            continue;
        }
        seen.push(place);
        let edges = route.leaving(place).iter().filter(|e| Some(**e) != without);
        open.extend(edges.filter_map(|e| route.edges.get(*e)).map(|e| e.to));
    }
    seen
}
