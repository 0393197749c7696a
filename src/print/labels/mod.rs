//! Labels for tape: three letters for each loop, what is plugged into each jack of the panel, both ends of every lead.

pub mod strips;

use crate::Compiled;
use crate::book::electric::{OwnJack, PanelWhat};
use crate::study::route::{self, Place};
use crate::study::wiring::{Jack, Lead, LeadKind, end, named, off_board};

/// A label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    /// What it is for: `loop`, `panel` or `lead`.
    pub kind: &'static str,
    /// Where it goes: `3`, `out 2`, `14 from`.
    pub place: String,
    /// Its words.
    pub text: String,
}

/// All labels: loops by number, then the jacks of the panel, ins first, then the leads by number.
pub fn labels(compiled: &Compiled) -> Vec<Label> {
    let book = &compiled.book;
    let loops = book.board.switcher.as_ref().map_or(0, |s| s.loops);
    let mut out: Vec<Label> = Vec::new();
    for number in 1..=loops {
        if let Some(device) = book.board.in_loop(number) {
            out.push(Label { kind: "loop", place: book.board.loop_short(number), text: device.label() });
        }
    }
    let mut jacks: Vec<_> = book.board.panel.iter().flat_map(|p| &p.jacks).collect();
    jacks.sort_by_key(|j| (j.out, j.number));
    for jack in jacks {
        let place = format!("{} {}", if jack.out { "out" } else { "in" }, jack.number);
        out.push(Label { kind: "panel", place, text: beyond(compiled, &named(jack), &jack.what) });
    }
    out.extend(compiled.wiring().leads.iter().flat_map(|lead| lead_ends(compiled, lead)));
    out
}

/// What is plugged into a jack of the panel from the stage: `larch in`, `larch foot switch`. Where nothing is, what it is
/// for.
fn beyond(compiled: &Compiled, jack: &Jack, what: &PanelWhat) -> String {
    let board = &compiled.book.board;
    let leads = &compiled.wiring().leads;
    let ends = leads.iter().filter(|l| l.from == *jack).flat_map(|l| &l.to);
    let ends = ends.chain(leads.iter().filter(|l| l.to.contains(jack)).map(|l| &l.from));
    let beyond: Vec<String> = ends.filter(|jack| off_board(board, jack)).map(|jack| end(board, jack)).collect();
    if beyond.is_empty() { name(compiled, what) } else { beyond.join(" and ") }
}

/// What stands at each end of a lead: its number and the jack that this end goes into; and that it turns the polarity
/// round, which is seen on no plug.
fn lead_ends(compiled: &Compiled, lead: &Lead) -> Vec<Label> {
    let turns = if lead.kind == LeadKind::DcReversing { ", reversing" } else { "" };
    let label = |place: String, jack: &Jack| Label {
        kind: "lead",
        place,
        text: format!("{} {}{turns}", lead.number, end(&compiled.book.board, jack)),
    };
    let number = lead.number;
    let mut out = vec![label(format!("{number} from"), &lead.from)];
    match lead.to.as_slice() {
        [to] => out.push(label(format!("{number} to"), to)),
        several => out.extend(several.iter().zip(1..).map(|(to, nth)| label(format!("{number} to, end {nth}"), to))),
    }
    out
}

fn name(compiled: &Compiled, what: &PanelWhat) -> String {
    match what {
        PanelWhat::Guitar(guitar) => {
            let named = guitar.and_then(|g| compiled.book.board.guitars.get(g));
            named.map_or("guitar".to_owned(), |g| g.name.clone())
        }
        PanelWhat::Output(number) => format!("output {number}"),
        PanelWhat::Remote(jack) => format!("remote {jack}"),
        PanelWhat::Expression(port) => format!("expression {port}"),
        PanelWhat::Device { device, jack, side } => {
            let board = &compiled.book.board;
            let mut says = match *jack {
                None => board.devices.get(*device).map_or(String::new(), |d| d.name.clone()),
                Some(OwnJack::Send) => route::says(board, Place::Send(*device)),
                Some(OwnJack::Return) => route::says(board, Place::Return(*device)),
                Some(OwnJack::LegSend(leg)) => route::says(board, Place::LegSend(*device, leg)),
                Some(OwnJack::LegReturn(leg)) => route::says(board, Place::LegReturn(*device, leg)),
                Some(OwnJack::Key) => route::says(board, Place::Key(*device)),
            };
            if let Some(side) = side {
                says += " ";
                says += side.word();
            }
            says
        }
        PanelWhat::Unknown => "?".to_owned(),
    }
}

/// As CSV (RFC 4180): kind, place, text.
pub fn csv(labels: &[Label]) -> String {
    let records = labels.iter().map(|l| [l.kind.to_owned(), l.place.clone(), l.text.clone()]);
    super::csv::records(&["kind", "place", "text"], records)
}
