//! The plug-and-check list: one lead, one test. The lead goes by its number in the lead list.

use super::{ends, length, polarity, remarks};
use crate::Compiled;
use crate::book::electric::Taker;
use crate::book::{Board, Book, Control, DeviceKind, How, Plugged};
use crate::print::doc::{Block, Cell, Doc, Item, List, Look, Mark, Table, head, para};
use crate::print::supply::CAUTION;
use crate::study::buildcheck::{Listen, Step};
use crate::study::wiring::{Jack, Lead, Purpose, Wiring, end};

/// A step in words.
struct Told {
    number: String,
    kind: &'static str,
    /// Its kind, length and polarity.
    made: String,
    from: String,
    to: String,
    act: String,
    listen: String,
    expect: String,
}

fn told(book: &Book, wiring: &Wiring, steps: &[Step]) -> Vec<Told> {
    let told = steps.iter().filter_map(|step| {
        let lead = wiring.leads.get(step.lead)?;
        let (from, to) = ends(book, lead);
        let (number, kind) = (lead.number.to_string(), lead.kind.word());
        let (act, listen, expect) =
            (act(&book.board, step, lead), listen(&book.board, step, lead), expect(&book.board, step, lead));
        let made = [kind.to_owned(), length(lead), polarity(lead)].into_iter().filter(|says| !says.is_empty());
        let made = made.collect::<Vec<_>>().join(", ");
        Some(Told { number, kind, made, from, to, act, listen, expect })
    });
    told.collect()
}

/// The list with boxes to tick.
pub fn doc(compiled: &Compiled, wiring: &Wiring, steps: &[Step]) -> Doc {
    let words = |text: String| vec![(text, Look::Plain)];
    let mut items = Vec::new();
    for Told { number, made, from, to, act, listen, expect, .. } in told(&compiled.book, wiring, steps) {
        let plug = format!("lead {number:>3} ({made}): plug {from} -> {to}");
        items.push(Item { depth: 0, mark: Mark::Tick, words: words(plug) });
        for says in [format!("do:     {act}"), format!("listen: {listen}"), format!("expect: {expect}")] {
            items.push(Item { depth: 1, mark: Mark::None, words: words(says) });
        }
    }
    let before = [
        "One lead a step. When a step fails, the lead just plugged, or what it reached, is to blame.".to_owned(),
        first(&compiled.book.board, steps),
        TEST_LEAD.to_owned(),
    ];
    let mut blocks: Vec<Block> = before.into_iter().map(para).collect();
    blocks.push(Block::Told("\n".to_owned(), Vec::new()));
    blocks.push(Block::List(List { columns: (0, 14), items }));
    blocks.push(Block::Notice(vec![CAUTION.to_owned()]));
    Doc::report(compiled, "plug and check", blocks)
}

const TEST_LEAD: &str = "The test lead is one more instrument lead: each step says where its two plugs are. Volume down before every\n\
                         plug. A valve amplifier is never switched on without its speaker.";

/// What to hear before anything is plugged.
fn first(board: &Board, steps: &[Step]) -> String {
    let amp = steps.iter().find_map(|step| match &step.listen {
        Listen::Test { amp, .. } => Some(end(board, amp)),
        _ => None,
    });
    let amp = amp.unwrap_or("an amplifier".to_owned());
    format!("Before the first step: the guitar straight into {amp}; play; this is the sound to hold all else against.")
}

/// The same for the technician's sheet, with the counts; nothing without leads.
pub fn section(book: &Book, wiring: &Wiring, steps: &[Step]) -> Vec<Block> {
    if wiring.leads.is_empty() {
        return Vec::new();
    }
    let intro = format!(
        "{} {TEST_LEAD} When a step fails, the lead just plugged, or what it reached, is to blame.",
        first(&book.board, steps)
    );
    let rows = told(book, wiring, steps).into_iter().map(|t| {
        let lead = format!("{} > {}", t.from, t.to);
        Cell::row([format!("[ ] {}", t.number), t.kind.to_owned(), lead, t.act, t.listen, t.expect])
    });
    let heads = ["lead", "kind", "from > to", "do", "listen", "hear or see"];
    let mut out = vec![head(2, "plug and check: one lead, one test"), para(intro)];
    out.push(Block::Table(Table::new("leads", &heads, 1, &[2, 3, 4, 5], rows.collect())));
    out.extend(remarks(book, wiring).into_iter().map(para));
    out
}

/// The same as records (RFC 4180), in the order of the steps.
pub fn csv(book: &Book, wiring: &Wiring, steps: &[Step]) -> String {
    let records = told(book, wiring, steps);
    let records = records.into_iter().map(|t| [t.number, t.kind.to_owned(), t.from, t.to, t.act, t.listen, t.expect]);
    crate::print::csv::records(&["lead", "kind", "from", "to", "do", "listen", "expect"], records)
}

fn name<'b>(board: &'b Board, lead: &Lead) -> &'b str {
    if lead.to.first() == Some(&Jack::Power(Taker::Switcher)) {
        return "the switcher";
    }
    lead.device.and_then(|d| board.devices.get(d)).map_or("it", |d| &d.name)
}

fn act(board: &Board, step: &Step, lead: &Lead) -> String {
    let name = name(board, lead);
    let deed = match (lead.purpose, step.engage.as_slice()) {
        (Purpose::Power, _) => format!("read voltage and polarity off {name} first, then switch the supply on"),
        (Purpose::Chain(_), _) if matches!(step.listen, Listen::Watch(_)) => "play one string".to_owned(),
        (Purpose::Chain(_), []) => "play, all loops bypassed".to_owned(),
        (Purpose::Chain(_) | Purpose::Send(_), engage) => format!("play, {} alone engaged", loops(board, engage)),
        (Purpose::Return(n), [_]) => format!("play; engage {} alone and bypass it, twice", board.loop_says(n)),
        (Purpose::Return(n), engage) => {
            let (all, one) = (loops(board, engage), board.loop_says(n));
            format!("play, {all} alone engaged; bypass {one} and engage it again, twice")
        }
        (Purpose::Remote(n), engage) => format!("{}close and open remote {n} from the switcher", alone(board, engage)),
        (Purpose::Expression(_) | Purpose::Treadle(_), _) if at_panel(lead) => "nothing yet".to_owned(),
        (Purpose::Expression(n), engage) => {
            format!("{}set expression {n} to 0 %, to 50 % and to 100 %", alone(board, engage))
        }
        (Purpose::Treadle(Plugged::Input(_)), _) => {
            format!("call a preset in which {} moves a level; rock from heel to toe", end(board, &lead.from))
        }
        (Purpose::Treadle(Plugged::Port(n)), engage) => {
            format!("{}hand expression {n} to the foot; rock from heel to toe", alone(board, engage))
        }
        (Purpose::Called, _) => {
            "let the computer send the programs of two presets (`tipring calls` lists them)".to_owned()
        }
        (Purpose::Midi, engage) if clock_alone(board, lead) => {
            format!("{}let the clock run at one tempo, then at another", alone(board, engage))
        }
        (Purpose::Midi, engage) => format!("{}call two presets that send {name} two messages", alone(board, engage)),
    };
    let frees: Vec<String> = step.frees.iter().map(|jack| end(board, jack)).collect();
    if frees.is_empty() { deed } else { format!("take the test lead out of {} first; {deed}", frees.join(" and ")) }
}

fn alone(board: &Board, engage: &[u16]) -> String {
    if engage.is_empty() { String::new() } else { format!("{} alone engaged; ", loops(board, engage)) }
}

/// `loop 3`, `loop 3 and loop 8`.
fn loops(board: &Board, numbers: &[u16]) -> String {
    numbers.iter().map(|n| board.loop_says(*n)).collect::<Vec<_>>().join(" and ")
}

fn listen(board: &Board, step: &Step, lead: &Lead) -> String {
    let helper = lead.device.and_then(|d| board.devices.get(d)).is_some_and(|d| d.helper.is_some());
    match &step.listen {
        Listen::Called => "watch the switcher".to_owned(),
        Listen::Preset => "where that preset sounds".to_owned(),
        Listen::Nothing => "nothing to hear yet".to_owned(),
        Listen::Test { tap, amp } => format!("test lead from {} to {}", end(board, tap), end(board, amp)),
        Listen::Spare { tap } => format!("test lead from {} to an amplifier that is not on this list", end(board, tap)),
        Listen::Watch(tuner) => format!("watch {}", board.devices.get(*tuner).map_or("?", |d| &d.name)),
        Listen::Amp(amp) => format!("at {}", board.devices.get(*amp).map_or("?", |d| &d.name)),
        Listen::Undriven if helper => "watch its lights".to_owned(),
        Listen::Undriven if silent(board, lead) => "nothing to hear: watch it".to_owned(),
        Listen::Undriven => "not heard: no chain of the book, as far as it is plugged, leads a guitar here".to_owned(),
    }
}

/// The device at the end of a lead makes no sound.
fn silent(board: &Board, lead: &Lead) -> bool {
    lead.device.and_then(|d| board.devices.get(d)).is_some_and(|d| d.listens())
}

fn expect(board: &Board, step: &Step, lead: &Lead) -> String {
    let name = name(board, lead);
    let undriven = step.listen == Listen::Undriven;
    match lead.purpose {
        Purpose::Power => format!("{name} wakes up; nothing gets warm, nothing hums"),
        Purpose::Chain(_) | Purpose::Send(_) | Purpose::Return(_) if undriven => {
            "plug it, and test it once a guitar leads here".to_owned()
        }
        Purpose::Chain(_) if matches!(step.listen, Listen::Watch(_)) => {
            format!("{name} shows the note, and holds it")
        }
        Purpose::Chain(_) if matches!(lead.from, Jack::Guitar(_)) => "the bare guitar, loud and without hum".to_owned(),
        Purpose::Chain(_) => match lead.to.first() {
            Some(Jack::Key(_)) => format!("{name} follows what you play: it opens with it, and shuts in the rests"),
            Some(jack @ (Jack::Input(d, _) | Jack::Return(d, _)))
                if board.devices.get(*d).is_some_and(|d| d.kind == DeviceKind::Amp) =>
            {
                format!("the sound arrives at {}, clean and without hum", end(board, jack))
            }
            _ => "the same sound as before, without hum".to_owned(),
        },
        Purpose::Send(_) => format!("{name} is heard, on and off by its own switch"),
        Purpose::Return(_) => format!("{name} comes and goes; bypassed, the sound is as it was before"),
        Purpose::Remote(_) => states(board, lead, name),
        Purpose::Expression(_) | Purpose::Treadle(_) if at_panel(lead) => {
            "it is tested with the lead on the other side of the panel".to_owned()
        }
        Purpose::Expression(_) => format!("{name} follows, from one end of its range to the other"),
        Purpose::Treadle(_) => "the level follows the foot; heel and toe are the right way round".to_owned(),
        Purpose::Called => "it shows each of them, and goes to no other".to_owned(),
        Purpose::Midi if clock_alone(board, lead) => format!("{name} repeats in time with each"),
        Purpose::Midi => format!("{name} changes with each of them, and nothing else does"),
    }
}

/// The device at the end of a MIDI lead hears no message, and follows the clock.
fn clock_alone(board: &Board, lead: &Lead) -> bool {
    lead.device.and_then(|d| board.devices.get(d)).is_some_and(|d| d.channel().is_none())
}

fn at_panel(lead: &Lead) -> bool {
    matches!(lead.to.first(), Some(Jack::PanelOut(_) | Jack::PanelIn(_)))
}

/// The states that a remote lead picks, of each device on it.
fn states(board: &Board, lead: &Lead, name: &str) -> String {
    let Purpose::Remote(number) = lead.purpose else { return String::new() };
    if at_panel(lead) {
        return "at the panel's jack the contact closes and opens (a meter shows it)".to_owned();
    }
    let uses =
        |c: &&Control| matches!(&c.how, How::Remote { contacts, .. } if contacts.iter().any(|k| k.jack == number));
    let pulsed = |c: &Control| matches!(c.how, How::Pulses { contact, .. } if contact.jack == number);
    let devices = lead.to.iter().filter_map(|j| match j {
        Jack::RemoteIn(d, ..) => board.devices.get(*d),
        _ => None,
    });
    let mut said = Vec::new();
    for device in devices {
        for control in device.controls.iter().filter(uses) {
            let states: Vec<&str> = control.states.iter().map(|s| s.name.as_str()).collect();
            said.push(format!("{} {} goes through {}", device.name, control.name, states.join(", ")));
        }
        if device.controls.iter().any(pulsed) {
            said.push(format!("{} repeats at the pace that remote {number} is closed and opened at", device.name));
        }
    }
    if said.is_empty() { format!("{name} answers") } else { said.join("; ") }
}
