//! The power budget.

use super::doc::{Block, Cell, Doc, Table, head, para};
use crate::Compiled;
use crate::book::Board;
use crate::study::supply::{Budget, Load, Problem};

/// Printed where supplies come into it.
pub const CAUTION: &str = "Caution: low-voltage pedal supplies are all that is meant here. Mains wiring is for licensed people under\n\
     local code. Leave the inside of supplies and amplifiers alone: valve amplifiers hold lethal voltage after they\n\
     are unplugged. Read polarity and voltage off the box itself before the plug goes in.";

/// To a tenth; what rounds to nothing has no sign.
fn milli(ampere: f64) -> String {
    match format!("{:.1}", ampere * 1e3).trim_end_matches(".0") {
        "-0" => "0".to_owned(),
        text => text.to_owned(),
    }
}

/// Whole hours, of less than ten a tenth; never more than there are, but for the rounding of a quotient.
fn hours_of(hours: f64) -> String {
    let hours = hours * (1.0 + 1e-12);
    if hours < 10.0 { format!("{:.1}", (hours * 10.0).floor() / 10.0) } else { hours.floor().to_string() }
}

fn outlet(board: &Board, load: &Load) -> String {
    let supply = board.supplies.get(load.of.0);
    let outlet = supply.and_then(|s| s.outlets.get(load.of.1));
    format!("{}.{}", supply.map_or("?", |s| &s.name), outlet.map_or("?", |o| &o.name))
}

/// What is wrong or missing, in words.
fn says(board: &Board, load: &Load, problem: &Problem) -> String {
    match problem {
        Problem::Overdrawn { drawn, gives } => format!("{} mA drawn, {} mA given", milli(*drawn), milli(*gives)),
        Problem::Margin { drawn, allowed } => {
            format!("{} mA drawn, {} mA with the margin in hand", milli(*drawn), milli(*allowed))
        }
        Problem::Voltage { device, from, to, gives } if from == to => {
            format!("{} wants {from} V, {gives} V given", board.taker(*device))
        }
        Problem::Voltage { device, from, to, gives } => {
            format!("{} wants {from} V to {to} V, {gives} V given", board.taker(*device))
        }
        Problem::Alternating { device, wants } => {
            let (wants, gives) = if *wants { ("AC", "DC") } else { ("DC", "AC") };
            format!("{} takes {wants}, and this is {gives}", board.taker(*device))
        }
        Problem::Peak { drawn, gives, stated } => {
            let known = if *stated { "for a moment" } else { "all the time, and no peak is named" };
            format!("{} mA drawn for a moment, {} mA given {known}", milli(*drawn), milli(*gives))
        }
        Problem::Polarity { device, wants } => format!("{} wants {}", board.taker(*device), wants.word()),
        Problem::Shared { device } => {
            format!("{} wants a ground of its own, the outlet shares it", board.taker(*device))
        }
        Problem::Together { device, with } => {
            format!("{} wants a ground of its own, {} hangs on it too", board.taker(*device), board.taker(*with))
        }
        Problem::Opposite { other } if *other == load.of.1 => {
            "of what hangs on it one has a reversing lead and one has not: the audio leads short the supply".to_owned()
        }
        Problem::Opposite { other } => {
            let name = board.supplies.get(load.of.0).and_then(|s| s.outlets.get(*other)).map_or("?", |o| &o.name);
            format!("shares its ground with outlet {name}, and one of the two plugs is the other way round")
        }
        Problem::NoCurrent { device } => format!("missing: current of {}", board.taker(*device)),
        Problem::NoVoltage { device } => format!("missing: voltage of {}", board.taker(*device)),
        Problem::NoPolarity { device } => format!("missing: polarity of {}", board.taker(*device)),
        Problem::OutletSilent { what } => format!("missing: {what}"),
    }
}

/// One row an outlet, what is wrong below, and the caution.
pub fn doc(compiled: &Compiled, budget: &Budget) -> Doc {
    let mut blocks = outlets(&compiled.book.board, budget);
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "power", blocks)
}

/// For the technician's sheet; nothing when no supply is described.
pub fn section(board: &Board, budget: &Budget) -> Option<Block> {
    let mut inner = vec![head(2, "power")];
    inner.extend(outlets(board, budget));
    (!board.supplies.is_empty() || !budget.batteries.is_empty()).then_some(Block::Together(inner))
}

fn outlets(board: &Board, budget: &Budget) -> Vec<Block> {
    let rows = budget.loads.iter().map(|load| Cell::row(fields(board, load)));
    let heads = ["outlet", "V", "gives mA", "allowed mA", "drawn mA", "headroom mA", "feeds"];
    let mut out = vec![Block::Table(Table::new("outlets", &heads, 1, &[6], rows.collect()))];
    out.extend(remarks(board, budget).into_iter().map(para));
    out
}

/// The sum, and all that is wrong, shared or missing, a line each.
fn remarks(board: &Board, budget: &Budget) -> Vec<String> {
    let sums = budget.loads.iter().fold((0.0, 0.0), |(d, a), l| (d + l.drawn, a + l.allowed.unwrap_or(0.0)));
    let mut out = vec![format!("all outlets: {} mA drawn of {} mA allowed", milli(sums.0), milli(sums.1))];
    let mut wrong = Vec::new();
    for load in &budget.loads {
        wrong.extend(load.problems.iter().map(|p| format!("{}: {}", outlet(board, load), says(board, load, p))));
        if load.peak > load.drawn {
            let stated = board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1)).and_then(|o| o.peak);
            let gives =
                stated.map_or("no peak is stated".to_owned(), |p| format!("{} mA given", milli(p.value.value())));
            out.push(format!("{}: {} mA drawn for a moment, {gives}", outlet(board, load), milli(load.peak)));
        }
        if load.takers.len() > 1 {
            out.push(format!("{}: {} devices share its ground", outlet(board, load), load.takers.len()));
        }
    }
    wrong.extend(budget.unpowered.iter().map(|taker| format!("missing: power of {}", board.taker(*taker))));
    for total in &budget.totals {
        let name = board.supplies.get(total.supply).map_or("?", |s| &s.name);
        let says = format!("{name}: {} mA drawn of {} mA in all", milli(total.drawn), milli(total.gives));
        if total.surges() {
            wrong.push(format!(
                "{name}: {} mA drawn for a moment, {} mA given in all",
                milli(total.peak),
                milli(total.gives)
            ));
        }
        if total.overdrawn() { wrong.push(says) } else { out.push(says) }
    }
    for (device, hours) in &budget.batteries {
        let name = board.devices.get(*device).map_or("?", |d| &d.name);
        out.push(format!("{name}: on a battery, {} h by what is stated, when it is new", hours_of(*hours)));
    }
    for index in &budget.no_margin {
        let name = board.supplies.get(*index).map_or("?", |s| &s.name);
        out.push(format!("{name}: no margin is stated, so none is kept in hand"));
    }
    if wrong.is_empty() {
        wrong.push("voltage, polarity, grounds and currents: nothing wrong".to_owned());
    }
    out.append(&mut wrong);
    out
}

/// An outlet's line: name, V, mA given, allowed, drawn and left, and what it feeds.
fn fields(board: &Board, load: &Load) -> [String; 7] {
    let stated = board.supplies.get(load.of.0).and_then(|s| s.outlets.get(load.of.1));
    let kind = if stated.is_some_and(|o| o.alternating) { " AC" } else { "" };
    let volts = stated.and_then(|o| o.volts).map_or(String::new(), |v| format!("{}{kind}", v.value.value()));
    let number = |v: Option<f64>| v.map_or(String::new(), milli);
    let feeds: Vec<&str> = load.takers.iter().map(|taker| board.taker(*taker)).collect();
    [
        outlet(board, load),
        volts,
        number(load.gives),
        number(load.allowed),
        milli(load.drawn),
        number(load.headroom),
        feeds.join(", "),
    ]
}

/// One record an outlet (RFC 4180).
pub fn csv(board: &Board, budget: &Budget) -> String {
    let names = ["outlet", "volts", "gives_ma", "allowed_ma", "drawn_ma", "headroom_ma", "feeds", "problems"];
    let records = budget.loads.iter().map(|load| {
        let [a, b, c, d, e, f, g] = fields(board, load);
        let problems: Vec<String> = load.problems.iter().map(|p| says(board, load, p)).collect();
        [a, b, c, d, e, f, g, problems.join("; ")]
    });
    super::csv::records(&names, records)
}
