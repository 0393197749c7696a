//! Power: what each outlet gives, what hangs on it, and what is wrong with that. A number nobody stated is missing,
//! never guessed. Sums are plain arithmetic; ngspice `.op` agrees (see the tests).

use crate::book::electric::{Outlet, Polarity, Power, Supply, Taker};
use crate::book::{Board, DeviceKind};
use crate::ids::DeviceId;

/// Something wrong, or not known, at an outlet.
#[derive(Clone, PartialEq, Debug)]
pub enum Problem {
    /// More is drawn than the outlet gives; both in ampere.
    Overdrawn {
        drawn: f64,
        gives: f64,
    },
    /// The outlet gives it, but not with the margin in hand; in ampere.
    Margin {
        drawn: f64,
        allowed: f64,
    },
    /// A device wants another voltage; in volt.
    Voltage {
        device: Taker,
        from: f64,
        to: f64,
        gives: f64,
    },
    /// A device wants its plug the other way round.
    Polarity {
        device: Taker,
        wants: Polarity,
    },
    /// The outlet and a device do not agree on alternating or direct current: what the device wants.
    Alternating {
        device: Taker,
        wants: bool,
    },
    /// For a moment, as when all is switched on, more is drawn than the outlet gives; both in ampere. Stated: the outlet says
    /// what it gives for a moment; else what it gives all the time is all that is known.
    Peak {
        drawn: f64,
        gives: f64,
        stated: bool,
    },
    /// A device wants a ground of its own, and this outlet shares it.
    Shared {
        device: Taker,
    },
    /// A device wants a ground of its own, and another one hangs on the same outlet.
    Together {
        device: Taker,
        with: Taker,
    },
    /// Two outlets of one ground are wired the opposite way round, and both are in use: the number of the other.
    Opposite {
        other: usize,
    },
    /// A device that does not say what current it draws, what voltage it takes, or which way round.
    NoCurrent {
        device: Taker,
    },
    NoVoltage {
        device: Taker,
    },
    NoPolarity {
        device: Taker,
    },
    /// The outlet does not say what it gives, its polarity, or whether its ground is its own.
    OutletSilent {
        what: &'static str,
    },
}

/// One outlet and all that hangs on it. Currents in ampere, voltage in volt.
#[derive(Clone, PartialEq, Debug)]
pub struct Load {
    /// The supply and the outlet, as indexes.
    pub of: (usize, usize),
    /// What hangs on it: the switcher, devices in board order.
    pub takers: Vec<Taker>,
    /// What they draw, as far as stated.
    pub drawn: f64,
    /// The same for a moment: peaks where they are stated, else the steady current.
    pub peak: f64,
    /// What the outlet gives.
    pub gives: Option<f64>,
    /// What it gives with the margin kept in hand: gives · (1 - margin).
    pub allowed: Option<f64>,
    /// What is left of that.
    pub headroom: Option<f64>,
    /// What is wrong or missing.
    pub problems: Vec<Problem>,
}

/// All outlets of a supply together, where it says what they may give. Currents in ampere.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Total {
    /// The supply, by its index.
    pub supply: usize,
    /// What is drawn of all its outlets, as far as stated.
    pub drawn: f64,
    /// What is drawn for a moment, as when all is switched on: peaks where they are stated, else the steady current.
    pub peak: f64,
    /// The most they give together.
    pub gives: f64,
}

impl Total {
    /// More is drawn than the supply gives.
    pub fn overdrawn(&self) -> bool {
        self.drawn > self.gives + NOTHING
    }

    /// More is drawn for a moment, though not all the time.
    pub fn surges(&self) -> bool {
        !self.overdrawn() && self.peak > self.gives + NOTHING
    }
}

/// The whole budget.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Budget {
    /// All outlets: supplies by name, outlets as they stand on the box.
    pub loads: Vec<Load>,
    /// Supplies that say what they give in all.
    pub totals: Vec<Total>,
    /// The switcher, pedals and buffers, as far as they say nothing of their power.
    pub unpowered: Vec<Taker>,
    /// Supplies that say no margin: none is kept.
    pub no_margin: Vec<usize>,
    /// Devices that run on a battery, and for how many hours: charge / current, both as stated.
    pub batteries: Vec<(DeviceId, f64)>,
}

/// Rounding of decimal sums: a picoampere is nothing.
const NOTHING: f64 = 1e-12;

/// Adds up the power of a book.
pub fn budget(board: &Board) -> Budget {
    let mut budget = Budget::default();
    for (s, supply) in board.supplies.iter().enumerate() {
        budget.no_margin.extend(supply.margin.is_none().then_some(s));
        let from = budget.loads.len();
        for (o, outlet) in supply.outlets.iter().enumerate() {
            budget.loads.push(load(board, supply, outlet, (s, o)));
        }
        let used = budget.loads.get(from..).unwrap_or(&[]);
        if let Some(total) = supply.total {
            let drawn = used.iter().fold(0.0, |sum, load| sum + load.drawn);
            let peak = used.iter().fold(0.0, |sum, load| sum + load.peak);
            budget.totals.push(Total { supply: s, drawn, peak, gives: total.value.value() });
        }
        let opposite = opposite(board, supply, used);
        for (load, other) in opposite {
            if let Some(load) = budget.loads.get_mut(from + load) {
                load.problems.push(Problem::Opposite { other });
            }
        }
    }
    let battery = |at: DeviceId| board.devices.get(at).and_then(|d| d.electric.battery);
    let hours = |at: DeviceId| Some((at, battery(at)?.charge.value.value() / battery(at)?.current.value.value()));
    budget.batteries = board.devices.ids().filter_map(hours).collect();
    let amp = |at: DeviceId| board.devices.get(at).is_some_and(|d| d.kind == DeviceKind::Amp);
    let elsewhere = |taker: &Taker| matches!(taker, Taker::Device(d) if amp(*d) || battery(*d).is_some());
    let silent = |taker: &Taker| board.power(*taker).is_none() && !board.faulty(*taker) && !elsewhere(taker);
    budget.unpowered = board.takers().filter(silent).collect();
    budget
}

fn load(board: &Board, supply: &Supply, outlet: &Outlet, of: (usize, usize)) -> Load {
    let hangs = |p: &Power| (p.supply, p.outlet) == (Some(of.0), Some(of.1));
    let all = board.takers().filter_map(|taker| Some((taker, board.power(taker)?)));
    let powers: Vec<(Taker, &Power)> = all.filter(|(_, p)| hangs(p)).collect();
    // An empty sum of floats is -0.
    let drawn = powers.iter().filter_map(|(_, p)| p.current).fold(0.0, |sum, c| sum + c.value.value());
    let peak = powers.iter().filter_map(|(_, p)| p.peak.or(p.current)).fold(0.0, |sum, c| sum + c.value.value());
    let gives = outlet.current.map(|c| c.value.value());
    let margin = supply.margin.map_or(0.0, |m| m.value.value() / 100.0);
    let allowed = gives.map(|g| g * (1.0 - margin));
    let mut problems = Vec::new();
    match gives.zip(allowed) {
        Some((gives, _)) if drawn > gives + NOTHING => problems.push(Problem::Overdrawn { drawn, gives }),
        Some((_, allowed)) if drawn > allowed + NOTHING => problems.push(Problem::Margin { drawn, allowed }),
        _ => {}
    }
    // What is too much all the time is told above.
    let over = problems.iter().any(|p| matches!(p, Problem::Overdrawn { .. }));
    let most = outlet.peak.or(outlet.current).map(|c| c.value.value()).filter(|most| peak > most + NOTHING);
    if let Some(gives) = most.filter(|_| peak > drawn + NOTHING && !over) {
        problems.push(Problem::Peak { drawn: peak, gives, stated: outlet.peak.is_some() });
    }
    for (device, power) in &powers {
        fits(outlet, *device, power, &mut problems);
        let with = powers.iter().find(|(d, _)| d != device).map(|(d, _)| *d);
        if let (true, Some(with)) = (power.isolated, with) {
            problems.push(Problem::Together { device: *device, with });
        }
    }
    if !powers.is_empty() {
        let silent = [
            (outlet.polarity.is_none() && !outlet.alternating, "polarity"),
            (outlet.isolated.is_none(), "whether its ground is isolated or shared"),
        ];
        let silent = silent.into_iter().filter(|(is, _)| *is);
        problems.extend(silent.map(|(_, what)| Problem::OutletSilent { what }));
    }
    let headroom = allowed.map(|a| a - drawn);
    Load { of, takers: powers.iter().map(|(d, _)| *d).collect(), drawn, peak, gives, allowed, headroom, problems }
}

/// Whether a device and its outlet suit each other.
fn fits(outlet: &Outlet, device: Taker, power: &Power, problems: &mut Vec<Problem>) {
    match power.volts.zip(outlet.volts) {
        Some(((from, to), volts)) => {
            let (from, to) = (from.value.value(), to.value.value());
            let (from, to, gives) = (from.min(to), from.max(to), volts.value.value());
            if gives < from - NOTHING || gives > to + NOTHING {
                problems.push(Problem::Voltage { device, from, to, gives });
            }
        }
        None if power.volts.is_none() => problems.push(Problem::NoVoltage { device }),
        None => {}
    }
    if power.alternating != outlet.alternating {
        problems.push(Problem::Alternating { device, wants: power.alternating });
    }
    let alternating = power.alternating || outlet.alternating;
    let comes = outlet.polarity.map(|p| if power.reversed { p.turned() } else { p });
    match power.polarity.zip(comes) {
        Some((wants, is)) if wants != is => problems.push(Problem::Polarity { device, wants }),
        None if power.polarity.is_none() && !alternating => problems.push(Problem::NoPolarity { device }),
        _ => {}
    }
    if power.isolated && outlet.isolated == Some(false) {
        problems.push(Problem::Shared { device });
    }
    problems.extend(power.current.is_none().then_some(Problem::NoCurrent { device }));
}

/// Outlets in use whose grounds are one and whose plugs are opposite, behind their leads: each with the first of the
/// other kind.
fn opposite(board: &Board, supply: &Supply, loads: &[Load]) -> Vec<(usize, usize)> {
    let shared = |l: &Load| supply.outlets.get(l.of.1).filter(|o| o.isolated == Some(false) && !l.takers.is_empty());
    let reversed = |taker: &Taker| board.power(*taker).is_some_and(|p| p.reversed);
    // On one outlet the ground is one, isolated or not: one pedal on it as it is, the other by a lead that reverses.
    let both = |l: &Load| l.takers.iter().any(reversed) && !l.takers.iter().all(reversed);
    let mut out: Vec<(usize, usize)> = (0..).zip(loads).filter(|(_, l)| both(l)).map(|(at, _)| (at, at)).collect();
    let first = |wanted: Polarity| {
        loads.iter().position(|load| {
            let is = shared(load).filter(|_| !both(load)).and_then(|o| o.polarity);
            let comes = |d| if reversed(d) { is.map(Polarity::turned) } else { is };
            load.takers.iter().any(|d| comes(d) == Some(wanted))
        })
    };
    if let (Some(a), Some(b)) = (first(Polarity::CentreNegative), first(Polarity::CentrePositive)) {
        out.push((a.max(b), a.min(b)));
    }
    out
}
