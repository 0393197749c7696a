//! A deliberately naive settler: the definition, read aloud, cell by cell and row by row.
//! It imports nothing of the crate and keeps nothing between rows.

use std::collections::BTreeMap;

use super::abstract_book::*;

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Cell {
    Loop(usize),
    Contact(Contact),
    Port(usize),
    Output(usize),
    /// Channel, device's name, place in the block; then where to find it.
    Midi(u8, String, usize, usize),
    ByFoot(String, usize, usize),
}

#[derive(Clone, Debug, PartialEq)]
enum Value {
    Bit(bool),
    Pulse,
    Stays,
    /// A step of so many.
    Step(i64, i64),
    Foot(Foot),
    Program(u16),
    State(String),
    Unknown,
}

/// Where a statement stands, seen from one scene: a rank (0 wins), and the block within it.
struct Spoken {
    rank: usize,
    block: usize,
    /// Which statement of all: a `mute` speaks of each output by itself.
    statement: usize,
    sets: Vec<(Cell, Value)>,
}

/// Whether a device sounds in a row; `None` when nobody can tell.
type Sounds = Option<bool>;

pub(crate) fn settle(book: &Book) -> Answer {
    let cells = cells(book);
    let mut answer = Answer { columns: cells.iter().map(|c| column(book, c)).collect(), ..Answer::default() };
    let mut scenes: Vec<usize> = (0..book.scenes.len()).collect();
    scenes.sort_by_key(|&s| &book.scenes[s].name);
    for (nth, &scene) in scenes.iter().enumerate() {
        let row = row(book, &cells, scene, nth, &mut answer.counts);
        answer.rows.push(row);
    }
    blocks(book, &mut answer.counts);
    answer
}

/// What is wrong in a block whoever uses it: told once, where it stands.
fn blocks(book: &Book, counts: &mut BTreeMap<String, usize>) {
    let defaults: Vec<&Say> = book.defaults.iter().flatten().collect();
    let mut ranks = vec![defaults];
    ranks.extend(book.layers.iter().map(|l| l.says.iter().collect()));
    ranks.extend(book.scenes.iter().map(|s| s.says.iter().collect()));
    for says in ranks {
        for (later, say) in says.iter().enumerate() {
            if says[..later].iter().any(|earlier| disagree(&sets(book, earlier), &sets(book, say))) {
                count(counts, "statements-disagree");
            }
            if let Say::Bypass(device) = say
                && !matches!(book.devices[*device].seat, Seat::Loop(_))
            {
                count(counts, "cannot-bypass");
            }
            let always = |n: usize| book.devices.iter().any(|d| d.always && d.seat == Seat::Loop(n));
            let out = |(cell, value): &(Cell, Value)| matches!(cell, Cell::Loop(n) if *value == Value::Bit(false) && always(*n));
            if sets(book, say).iter().any(out) {
                count(counts, "always-bypassed");
            }
        }
    }
}

fn count(counts: &mut BTreeMap<String, usize>, code: &str) {
    *counts.entry(code.to_string()).or_default() += 1;
}

fn disagree(one: &[(Cell, Value)], other: &[(Cell, Value)]) -> bool {
    one.iter().any(|(cell, value)| other.iter().any(|(c, v)| c == cell && v != value))
}

fn spoken(book: &Book, scene: usize) -> Vec<Spoken> {
    let mut all: Vec<(usize, usize, &Say)> = Vec::new();
    let mut rank = 0;
    let mut next = Some(scene);
    while let Some(at) = next {
        let scene = &book.scenes[at];
        all.extend(scene.says.iter().map(|say| (rank, 0, say)));
        for (block, &layer) in scene.with.iter().enumerate() {
            let says = &book.layers[layer].says;
            all.extend(says.iter().map(|say| (rank + 1, block, say)));
        }
        rank += 2;
        next = scene.from;
    }
    all.extend(book.defaults.iter().flatten().map(|say| (rank, 0, say)));
    let mut out = Vec::new();
    for (statement, (rank, block, say)) in all.into_iter().enumerate() {
        match say {
            Say::Mute => {
                let each = sets(book, say).into_iter();
                out.extend(each.map(|one| Spoken { rank, block, statement, sets: vec![one] }));
            }
            _ => out.push(Spoken { rank, block, statement, sets: sets(book, say) }),
        }
    }
    out
}

/// A statement is live if no statement of a higher rank, live or not, touches any of its cells.
fn live(book: &Book, scene: usize) -> Vec<Spoken> {
    let all = spoken(book, scene);
    let touches = |s: &Spoken, cell: &Cell| s.sets.iter().any(|(c, _)| c == cell);
    let overridden = |s: &Spoken| {
        let overrides = |higher: &Spoken, cell: &Cell| higher.rank < s.rank && touches(higher, cell);
        s.sets.iter().any(|(cell, _)| all.iter().any(|higher| overrides(higher, cell)))
    };
    let live: Vec<bool> = all.iter().map(|s| !overridden(s)).collect();
    all.into_iter().zip(live).filter_map(|(s, live)| live.then_some(s)).collect()
}

/// Rows in which two live statements want different things of one cell.
pub(crate) fn scenes_in_conflict(book: &Book) -> usize {
    (0..book.scenes.len())
        .filter(|&scene| {
            let live = live(book, scene);
            live.iter().any(|one| live.iter().any(|other| disagree(&one.sets, &other.sets)))
        })
        .count()
}

fn row(book: &Book, cells: &[Cell], scene: usize, nth: usize, counts: &mut BTreeMap<String, usize>) -> Row {
    let live = live(book, scene);
    // Layers of this very scene that want different things; older quarrels were told where they arose.
    let mut told = Vec::new();
    for (later, say) in live.iter().enumerate().filter(|(_, s)| s.rank == 1) {
        let earlier = live[..later].iter().filter(|e| e.rank == 1 && e.block != say.block);
        if earlier.into_iter().any(|e| disagree(&e.sets, &say.sets)) && !told.contains(&say.statement) {
            told.push(say.statement);
            count(counts, "layers-disagree");
        }
    }
    let said = |cell: &Cell| -> Option<Value> {
        let mut found: Option<Value> = None;
        for spoken in &live {
            for (_, value) in spoken.sets.iter().filter(|(c, _)| c == cell) {
                found = match found {
                    Some(before) if before != *value => Some(Value::Unknown),
                    _ => Some(value.clone()),
                };
            }
        }
        found
    };
    let sounds = |device: usize| -> Sounds {
        match book.devices[device].seat {
            Seat::AlwaysOn | Seat::Amp(_) | Seat::Tuner(_) => Some(true),
            Seat::Loop(n) => match said(&Cell::Loop(n)) {
                None => Some(book.devices[device].always),
                Some(Value::Bit(on)) => Some(on),
                Some(_) => None,
            },
        }
    };
    complain(book, &said, &sounds, counts);
    let mut row = Row { slot: slot(book, nth), scene: book.scenes[scene].name.clone(), ..Row::default() };
    for cell in cells {
        let users: Vec<Sounds> = users(book, cell).into_iter().map(&sounds).collect();
        let free = !users.is_empty() && users.iter().all(|s| *s == Some(false));
        let value = match said(cell) {
            Some(value) => value,
            None if users.is_empty() => unsaid(book, cell),
            None if free => rest(book, cell),
            None => Value::Unknown,
        };
        let stored = print(&value);
        row.dashed.push(if free { "-".to_string() } else { stored.clone() });
        row.stored.push(stored);
    }
    row
}

fn complain(
    book: &Book,
    said: &dyn Fn(&Cell) -> Option<Value>,
    sounds: &dyn Fn(usize) -> Sounds,
    counts: &mut BTreeMap<String, usize>,
) {
    for (at, device) in book.devices.iter().enumerate() {
        if sounds(at) != Some(true) {
            continue;
        }
        for (nth, part) in device.parts.iter().enumerate() {
            let values: Vec<Option<Value>> = part_cells(book, at, nth).iter().map(said).collect();
            if values.contains(&None) {
                let level = matches!(part.how, How::Port { .. } | How::Cc { .. });
                count(counts, if level { "level-unsettled" } else { "control-unsettled" });
            } else if let How::Contacts(contacts) = &part.how {
                let values: Vec<Value> = values.into_iter().flatten().collect();
                let known = !values.contains(&Value::Unknown);
                let all_stay = values.iter().all(|v| *v == Value::Stays);
                let listed = (0..contacts.states.len()).any(|s| pattern(contacts, s) == values);
                if known && !all_stay && !listed {
                    count(counts, "contact-pattern-unknown");
                }
            }
        }
    }
}

fn pattern(contacts: &Contacts, state: usize) -> Vec<Value> {
    contacts.states[state].1.iter().map(|is| Value::Bit(is.unwrap_or(contacts.normally_closed))).collect()
}

/// Every cell a statement touches, and the value it wants there.
fn sets(book: &Book, say: &Say) -> Vec<(Cell, Value)> {
    let in_loop = |device: usize, on: bool| match book.devices[device].seat {
        Seat::Loop(n) => vec![(Cell::Loop(n), Value::Bit(on))],
        Seat::AlwaysOn | Seat::Amp(_) | Seat::Tuner(_) => Vec::new(),
    };
    match *say {
        Say::Engage(device) => in_loop(device, true),
        Say::Bypass(device) => in_loop(device, false),
        Say::EngageLoop(n) => vec![(Cell::Loop(n), Value::Bit(true))],
        Say::BypassLoop(n) => vec![(Cell::Loop(n), Value::Bit(false))],
        Say::Close(contact) => vec![(Cell::Contact(contact), Value::Bit(true))],
        Say::Open(contact) => vec![(Cell::Contact(contact), Value::Bit(false))],
        Say::Pulse(contact) => vec![(Cell::Contact(contact), Value::Pulse)],
        Say::PortAt(n, at) => vec![(Cell::Port(n), step(at, 0, 100_000, book.switcher.steps))],
        Say::PortFoot(n, foot) => vec![(Cell::Port(n), Value::Foot(foot))],
        Say::PortStays(n) => vec![(Cell::Port(n), Value::Stays)],
        Say::Output(n, on) => vec![(Cell::Output(n), Value::Bit(on))],
        Say::Mute => {
            let heard = (1..=book.switcher.outputs).filter(|n| !book.watched(*n));
            heard.map(|n| (Cell::Output(n), Value::Bit(false))).collect()
        }
        Say::Set(device, nth, to) => {
            let how = &book.devices[device].parts[nth].how;
            let cells = part_cells(book, device, nth);
            let values = match (to, how) {
                (To::Stays, _) => vec![Value::Stays; cells.len()],
                (To::Foot(foot), _) => vec![Value::Foot(foot)],
                (To::State(state), How::Contacts(contacts)) => pattern(contacts, state),
                (To::State(state), How::Programs { states, .. }) => {
                    vec![Value::Program(states[state].1)]
                }
                (To::State(state), How::FootStates(states)) => {
                    vec![Value::State(states[state].clone())]
                }
                (To::Amount(v), How::Port { range, .. }) => {
                    vec![step(v, range.from, range.to, book.switcher.steps)]
                }
                (To::Amount(v), How::Cc { range, .. }) => vec![step(v, range.from, range.to, 128)],
                _ => unreachable!("the generator pairs values with parts"),
            };
            cells.into_iter().zip(values).collect()
        }
    }
}

/// floor(p (n - 1) + 1/2) for p = (v - from) / (to - from), in whole numbers.
fn step(v: Milli, from: Milli, to: Milli, steps: i64) -> Value {
    let (travelled, whole) = if from < to { (v - from, to - from) } else { (from - v, from - to) };
    Value::Step((2 * travelled * (steps - 1) + whole).div_euclid(2 * whole), steps)
}

fn print(value: &Value) -> String {
    match value {
        Value::Bit(on) => if *on { "1" } else { "0" }.to_string(),
        Value::Pulse => "pulse".to_string(),
        Value::Stays => "stays".to_string(),
        Value::Foot(_) => "foot".to_string(),
        Value::Unknown => "?".to_string(),
        Value::Program(n) => n.to_string(),
        Value::State(name) => name.clone(),
        Value::Step(step, steps) => {
            let tenths = (2 * step * 1000 + (steps - 1)) / (2 * (steps - 1));
            match tenths % 10 {
                0 => format!("{}", tenths / 10),
                digit => format!("{}.{digit}", tenths / 10),
            }
        }
    }
}

fn unsaid(book: &Book, cell: &Cell) -> Value {
    let feeds = |n: &usize| book.devices.iter().any(|d| [Seat::Amp(Some(*n)), Seat::Tuner(*n)].contains(&d.seat));
    match cell {
        Cell::Output(n) => Value::Bit(feeds(n)),
        Cell::Loop(n) => Value::Bit(book.devices.iter().any(|d| d.always && d.seat == Seat::Loop(*n))),
        Cell::Port(_) => step(0, 0, 1, book.switcher.steps),
        _ => Value::Bit(false),
    }
}

/// What a cell stands at when it is nobody's business.
fn rest(book: &Book, cell: &Cell) -> Value {
    match cell {
        Cell::Port(_) => step(0, 0, 1, book.switcher.steps),
        Cell::Midi(..) | Cell::ByFoot(..) => Value::Stays,
        Cell::Contact(contact) => {
            let closed = parts(book).any(|(_, part)| match &part.how {
                How::Contacts(c) => c.normally_closed && c.contacts().contains(contact),
                _ => false,
            });
            Value::Bit(closed)
        }
        Cell::Loop(_) | Cell::Output(_) => Value::Bit(false),
    }
}

fn parts(book: &Book) -> impl Iterator<Item = (usize, &Part)> {
    book.devices.iter().enumerate().flat_map(|(at, d)| d.parts.iter().map(move |p| (at, p)))
}

fn part_cells(book: &Book, at: usize, nth: usize) -> Vec<Cell> {
    let device = &book.devices[at];
    match &device.parts[nth].how {
        How::Contacts(contacts) => contacts.contacts().into_iter().map(Cell::Contact).collect(),
        How::Port { port, .. } => vec![Cell::Port(*port)],
        How::Programs { channel, .. } | How::Cc { channel, .. } => {
            vec![Cell::Midi(*channel, device.name.clone(), nth, at)]
        }
        How::FootStates(_) => vec![Cell::ByFoot(device.name.clone(), nth, at)],
    }
}

/// The devices that something in this cell moves: a loop or an output is nobody's in this sense.
fn users(book: &Book, cell: &Cell) -> Vec<usize> {
    let mut users = Vec::new();
    for at in 0..book.devices.len() {
        for nth in 0..book.devices[at].parts.len() {
            if part_cells(book, at, nth).contains(cell) {
                users.push(at);
            }
        }
    }
    users
}

fn cells(book: &Book) -> Vec<Cell> {
    let switcher = &book.switcher;
    let mut cells: Vec<Cell> = (1..=switcher.loops).map(Cell::Loop).collect();
    for jack in 1..=switcher.jacks {
        cells.extend([false, true].map(|ring| Cell::Contact(Contact { jack, ring })));
    }
    cells.extend((1..=switcher.ports).map(Cell::Port));
    cells.extend((1..=switcher.outputs).map(Cell::Output));
    for at in 0..book.devices.len() {
        for nth in 0..book.devices[at].parts.len() {
            cells.extend(part_cells(book, at, nth).into_iter().filter(|c| !cells.contains(c)).collect::<Vec<_>>());
        }
    }
    cells.sort();
    cells
}

fn column(book: &Book, cell: &Cell) -> String {
    let part = |at: usize, nth: usize| format!("{}.{}", book.devices[at].name, book.devices[at].parts[nth].name);
    match cell {
        Cell::Loop(n) => format!("loop-{n}"),
        Cell::Contact(c) => format!("remote-{}-{}", c.jack, if c.ring { "ring" } else { "tip" }),
        Cell::Port(n) => format!("expression-{n}"),
        Cell::Output(n) => format!("output-{n}"),
        Cell::Midi(channel, _, nth, at) => format!("midi-{channel}:{}", part(*at, *nth)),
        Cell::ByFoot(_, nth, at) => format!("by-foot:{}", part(*at, *nth)),
    }
}

fn slot(book: &Book, nth: usize) -> String {
    match book.switcher.banks {
        Some((first, switches)) => format!("{}.{}", first + nth / switches, 1 + nth % switches),
        None => String::new(),
    }
}
