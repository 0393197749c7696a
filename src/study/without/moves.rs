//! What can be done by hand when a part dies, with nothing to program.

use super::blow::{self, Struck};
use super::heard::Blow;
use super::part::Part;
use super::{Board, Hit, Told};
use crate::book::electric::{LinkWhat, Taker};
use crate::book::{DeviceKind, How, Plugged};
use crate::ids::{ControlId, DeviceId, SceneId};
use crate::settle::{CellKind, Setting, Value};
use crate::study::supply;
use crate::study::wiring::Purpose;

/// How a control stands for good.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Stand {
    pub device: DeviceId,
    pub control: ControlId,
    /// None where it depends on what else a preset closes.
    pub setting: Option<Setting>,
}

/// Something to do by hand.
#[derive(Clone, PartialEq, Debug)]
pub enum Move {
    /// There is nothing to do.
    Nothing,
    /// A lead from a loop's send to its return, two where it has two sides. `free`: an empty loop on the same side, and how
    /// many presets engage the dead one.
    Bridge {
        number: u16,
        stereo: bool,
        free: Option<(u16, usize)>,
    },
    /// Past a device that stands in a chain.
    Past {
        device: DeviceId,
    },
    /// A device that is in no chain: nobody knows what to join.
    Unplug {
        device: DeviceId,
    },
    /// The other amps that are heard in what is played.
    Others(Vec<DeviceId>),
    /// What a remote jack moves stands so when the jack is pulled, or is left so by hand.
    Leave {
        jack: Option<u16>,
        stands: Vec<Stand>,
    },
    /// Nothing calls these helpers any more.
    Uncalled(Vec<DeviceId>),
    /// Other outlets that suit.
    Outlets(Vec<(Taker, (usize, usize))>),
    /// No other outlet suits them all: round each of these.
    Around(Vec<Move>),
    /// The amps of a dead output on another one; how many plays are touched still, and how far off they are together.
    Replug {
        amps: Vec<DeviceId>,
        output: u16,
        plays: usize,
        loss: u64,
    },
    /// Another lead of its kind.
    Swap,
    /// No program arrives: the foot presses.
    ByFoot,
    /// No foot moves it any more.
    NoFoot {
        plugged: Plugged,
    },
    /// Another guitar; another way round the switcher.
    Strings,
    Patch,
}

pub(super) fn first(told: &Told<'_>, part: Part, struck: &Struck, hits: &[Hit]) -> Move {
    let board = &told.book.board;
    let blow = match struck {
        Struck::Presets(blow) => blow,
        Struck::Guitar(_) => return Move::Strings,
        Struck::Switcher => return powered(board, part).unwrap_or(Move::Patch),
    };
    match part {
        Part::Lead(l) if told.wiring.leads.get(l).is_some_and(|l| l.purpose == Purpose::Called) => Move::ByFoot,
        _ if hits.is_empty() => Move::Nothing,
        Part::Loop(n) => Move::Bridge { number: n, stereo: wide(board, n), free: free(told, n) },
        Part::Device(d) => round(told, d),
        Part::Channel { .. } | Part::Guitar(_) | Part::Switcher => Move::Nothing,
        Part::Remote(_) if blow.cells.is_empty() => Move::Uncalled(helpers(board, blow)),
        Part::Remote(jack) => Move::Leave { jack: Some(jack), stands: stands(told, blow) },
        Part::Output(number) => replug(told, number),
        Part::Treadle(t) => board.treadles.get(t).map_or(Move::Nothing, |t| Move::NoFoot { plugged: t.plugged }),
        Part::Supply(_) | Part::Outlet(..) => {
            let alive = |d: &&DeviceId| !inside(board, **d, &blow.out);
            let around = || blow.out.iter().filter(alive).map(|d| round(told, *d)).collect();
            powered(board, part).unwrap_or_else(|| Move::Around(around()))
        }
        Part::Lead(_) => Move::Swap,
    }
}

fn wide(board: &Board, number: u16) -> bool {
    board.in_loop(number).is_some_and(|d| d.stereo)
}

/// The way round a dead device.
fn round(told: &Told<'_>, d: DeviceId) -> Move {
    let board = &told.book.board;
    match board.devices.get(d) {
        Some(device) if device.kind == DeviceKind::Amp => Move::Others(others(told, &[d])),
        Some(device) if device.helper.is_some() => Move::Past { device: d },
        Some(device) => match device.loop_at.map(|l| l.value) {
            Some(number) => Move::Bridge { number, stereo: wide(board, number), free: None },
            None if in_chain(board, d) => Move::Past { device: d },
            None => Move::Unplug { device: d },
        },
        None => Move::Nothing,
    }
}

/// The helpers in which sits what a blow takes out.
fn helpers(board: &Board, blow: &Blow) -> Vec<DeviceId> {
    let number = |d: &DeviceId| board.devices.get(*d)?.loop_at.map(|l| l.value);
    let mut found: Vec<DeviceId> = blow.out.iter().filter_map(|d| Some(board.helper_of(number(d)?)?.0)).collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// True for what sits in a helper that is among these: it has what it needs, but for its way in.
fn inside(board: &Board, device: DeviceId, among: &[DeviceId]) -> bool {
    let number = board.devices.get(device).and_then(|d| d.loop_at).map(|l| l.value);
    let helper = number.and_then(|n| board.helper_of(n)).map(|(at, ..)| at);
    helper.is_some_and(|helper| among.contains(&helper))
}

/// An empty loop on the same side of the split, and how many presets engage this one.
fn free(told: &Told<'_>, dead: u16) -> Option<(u16, usize)> {
    let board = &told.book.board;
    let switcher = board.switcher.as_ref()?;
    board.in_loop(dead)?;
    // What is to be programmed anew in a helper is not counted here.
    if board.helper_of(dead).is_some() {
        return None;
    }
    let side = |n: u16| board.stretch(n);
    let mut empty = (1..=switcher.loops).filter(|n| side(*n) == side(dead) && told.book.board.in_loop(*n).is_none());
    let cell = told.table.cells.loop_cell(dead)?;
    let scenes = told.book.show.scenes.ids();
    let on = scenes.filter(|s| told.table.value(*s, cell) == Value::On);
    Some((empty.next()?, on.map(|s| told.places.all(s).len()).sum()))
}

fn in_chain(board: &Board, wanted: DeviceId) -> bool {
    let links = board.chains.iter().flat_map(|c| &c.links);
    links.into_iter().any(|l| matches!(l.what, LinkWhat::Device { device, .. } if device == wanted))
}

/// The amps that are heard in some play, but for these.
fn others(told: &Told<'_>, dead: &[DeviceId]) -> Vec<DeviceId> {
    let amps = told.book.board.devices.pairs().filter(|(_, d)| d.kind == DeviceKind::Amp);
    amps.map(|(at, _)| at).filter(|amp| !dead.contains(amp) && told.sounds(*amp) > 0).collect()
}

/// How every control stands that a blow reaches.
fn stands(told: &Told<'_>, blow: &Blow) -> Vec<Stand> {
    let mut users: Vec<(DeviceId, ControlId)> = Vec::new();
    for (cell, _) in &blow.cells {
        users.extend(told.table.cells.list.get(*cell).iter().flat_map(|cell| &cell.users));
    }
    users.sort_unstable();
    users.dedup();
    let stand = |(device, control)| {
        let known = blow::stands(told, blow, device, control);
        let setting = known.filter(|s| !matches!(s, Setting::Unknown | Setting::Unlisted));
        Stand { device, control, setting }
    };
    users.into_iter().map(stand).collect()
}

/// Other outlets for all that hung on a dead one, each the first that suits, the emptiest first.
fn powered(board: &Board, part: Part) -> Option<Move> {
    let Part::Outlet(s, o) = part else { return None };
    let mut board = board.clone();
    let hangs = |power: &crate::book::electric::Power| (power.supply, power.outlet) == (Some(s), Some(o));
    let takers: Vec<Taker> = board.takers().filter(|t| board.power(*t).is_some_and(hangs)).collect();
    let mut moves = Vec::new();
    for taker in takers {
        let outlets = board.supplies.iter().enumerate();
        let mut all: Vec<(usize, usize)> =
            outlets.flat_map(|(s, supply)| (0..supply.outlets.len()).map(move |o| (s, o))).collect();
        // One of its own, where there is one.
        let used = |(s, o): (usize, usize)| {
            let on = |t: &Taker| board.power(*t).is_some_and(|p| (p.supply, p.outlet) == (Some(s), Some(o)));
            board.takers().filter(on).count()
        };
        all.sort_by_key(|at| (used(*at), *at));
        let to = all.into_iter().filter(|to| *to != (s, o)).find(|to| suits(&board, taker, *to))?;
        board = on(&board, taker, to);
        moves.push((taker, to));
    }
    (!moves.is_empty()).then_some(Move::Outlets(moves))
}

/// The same board with a taker on another outlet.
fn on(board: &Board, taker: Taker, (s, o): (usize, usize)) -> Board {
    let mut board = board.clone();
    let power = match taker {
        Taker::Switcher => board.switcher.as_mut().and_then(|s| s.power.as_mut()),
        Taker::Device(d) => board.devices.get_mut(d).and_then(|d| d.electric.power.as_mut()),
    };
    if let Some(power) = power {
        (power.supply, power.outlet) = (Some(s), Some(o));
    }
    board
}

/// Nothing is wrong, or unknown, at the outlet then, and the supply gives it all.
fn suits(board: &Board, taker: Taker, to: (usize, usize)) -> bool {
    let budget = supply::budget(&on(board, taker, to));
    let fine = budget.loads.iter().any(|load| load.of == to && load.problems.is_empty());
    let over = budget.totals.iter().any(|total| total.supply == to.0 && (total.overdrawn() || total.surges()));
    let opposite = |load: &supply::Load| load.problems.iter().any(|p| matches!(p, supply::Problem::Opposite { .. }));
    fine && !over && !budget.loads.iter().any(opposite)
}

/// The output on which the amps of a dead one lose least, if one is better than leaving them silent.
fn replug(told: &Told<'_>, dead: u16) -> Move {
    let board = &told.book.board;
    let fed = |output: u16| board.devices.pairs().filter(move |(_, d)| d.fed_by.is_some_and(|f| f.value == output));
    let amps: Vec<DeviceId> = fed(dead).filter(|(_, d)| d.kind == DeviceKind::Amp).map(|(at, _)| at).collect();
    let outputs = 1..=board.switcher.as_ref().map_or(0, |s| s.outputs);
    let lost = |blow: &Blow, book: &crate::book::Book| {
        let (mut plays, mut loss) = (0, 0);
        for play in &told.plays {
            let now = told.columns.hear(book, told.table, play.scene, blow);
            let off = told.distance(told.heard(play.scene), &now);
            (plays, loss) = (plays + usize::from(off > 0), loss + off);
        }
        (loss, plays)
    };
    let cell = |kind: CellKind| told.table.cells.list.position(|c| c.kind == kind);
    let off = cell(CellKind::Output(dead)).map(|c| (c, super::heard::Held::At(Value::Off)));
    let before = lost(&Blow { cells: off.into_iter().collect(), ..Blow::default() }, told.book);
    let best = outputs.filter(|output| *output != dead).map(|output| {
        let mut book = told.book.clone();
        for amp in &amps {
            let fed = book.board.devices.get_mut(*amp).and_then(|d| d.fed_by.as_mut());
            fed.into_iter().for_each(|f| f.value = output);
        }
        let out = fed(output).map(|(at, _)| at).collect();
        (lost(&Blow { out, ..Blow::default() }, &book), output)
    });
    match best.min() {
        Some(((loss, plays), output)) if loss < before.0 && !amps.is_empty() => {
            Move::Replug { amps, output, plays, loss }
        }
        _ => Move::Others(others(told, &amps)),
    }
}

impl Told<'_> {
    /// In how many plays a device is heard.
    pub fn sounds(&self, device: DeviceId) -> usize {
        let column = self.columns.list.iter().position(|c| c.control.is_none() && c.device == device);
        let heard = |scene: SceneId| column.and_then(|c| self.heard(scene).get(c)) == Some(&super::heard::Mark::In);
        self.plays.iter().filter(|p| heard(p.scene)).count()
    }

    /// A control that a hand sets, if it is a level: its port or message.
    pub fn how(&self, device: DeviceId, control: ControlId) -> Option<&How> {
        Some(&self.book.board.devices.get(device)?.controls.get(control)?.how)
    }
}
