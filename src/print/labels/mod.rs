//! Labels for tape: three letters for each loop, a name for each jack of the panel.

pub mod strips;

use crate::Compiled;
use crate::book::electric::{AmpJack, PanelWhat};

/// A label.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    /// What it is for: `loop` or `panel`.
    pub kind: &'static str,
    /// Where it goes: `3`, `out 2`.
    pub place: String,
    /// Its words.
    pub text: String,
}

/// All labels: loops by number, then the jacks of the panel, ins first.
pub fn labels(compiled: &Compiled) -> Vec<Label> {
    let book = &compiled.book;
    let loops = book.board.switcher.as_ref().map_or(0, |s| s.loops);
    let mut out: Vec<Label> = Vec::new();
    for number in 1..=loops {
        if let Some(device) = book.board.in_loop(number) {
            out.push(Label { kind: "loop", place: number.to_string(), text: device.label() });
        }
    }
    let mut jacks: Vec<_> = book.board.panel.iter().flat_map(|p| &p.jacks).collect();
    jacks.sort_by_key(|j| (j.out, j.number));
    for jack in jacks {
        let place = format!("{} {}", if jack.out { "out" } else { "in" }, jack.number);
        out.push(Label { kind: "panel", place, text: name(compiled, &jack.what) });
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
            let mut says = compiled.book.board.devices.get(*device).map_or(String::new(), |d| d.name.clone());
            match jack {
                Some(AmpJack::Send) => says += " send",
                Some(AmpJack::Return) => says += " return",
                None => {}
            }
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
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail.
    let _ = writer.write_record(["kind", "place", "text"]);
    for label in labels {
        let _ = writer.write_record([label.kind, &label.place, &label.text]);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}
