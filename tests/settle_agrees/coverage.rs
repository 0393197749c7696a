//! What the random books held: a form that never appeared was never checked.

use std::collections::BTreeMap;

use super::abstract_book::*;

#[derive(Default)]
pub(crate) struct Coverage {
    seen: BTreeMap<String, usize>,
    books_in_conflict: usize,
    scenes: usize,
    scenes_in_conflict: usize,
    scenes_clean: usize,
}

/// Everything that must appear, at least this often for each thousand books.
const WANTED: [(usize, &[&str]); 3] = [
    (
        100,
        &[
            "engage NAME",
            "engage loop",
            "bypass NAME",
            "bypass loop",
            "close",
            "open",
            "expression at",
            "expression foot",
            "expression stays",
            "output on",
            "output off",
            "mute",
            "set contacts to state",
            "set contacts to stays",
            "set port to amount",
            "set port to foot",
            "set cc to amount",
            "set programs to state",
            "set by foot to state",
            "foot from heel",
            "foot from toe",
            "control on one contact",
            "control on one jack",
            "control on two jacks",
            "control normally closed",
            "control shared",
            "control shared in part",
            "control on programs",
            "control by foot",
            "level on port",
            "level on cc",
            "level reversed",
            "amount between two steps",
            "unknown loop",
            "level of odd steps",
            "level without range",
            "pedal always on",
            "pedal always on in its loop",
            "amp with channel",
            "amp fed by output",
            "amp fed by nothing",
            "default",
            "several defaults",
            "layer",
            "scene from",
            "scene from from",
            "scene with",
            "scene with several",
            "scene from with",
            "scene alone",
            "free cell",
            "unknown cell",
            "engage of always on",
            "statements-disagree",
            "layers-disagree",
            "control-unsettled",
            "level-unsettled",
            "contact-pattern-unknown",
            "cannot-bypass",
            "always-bypassed",
        ],
    ),
    (50, &["pulse", "set by foot to stays", "set programs to stays", "set port to stays", "set cc to stays"]),
    (100, &["slots", "no slots"]),
];

impl Coverage {
    pub(crate) fn add(&mut self, book: &Book, answer: &Answer) {
        let mut seen = |what: &str| *self.seen.entry(what.to_string()).or_default() += 1;
        seen(if book.switcher.banks.is_some() { "slots" } else { "no slots" });
        board(book, &mut seen);
        let blocks = book.layers.iter().map(|l| &l.says).chain(book.scenes.iter().map(|s| &s.says));
        for say in book.defaults.iter().chain(blocks).flatten() {
            saying(book, say, &mut seen);
        }
        book.defaults.iter().for_each(|_| seen("default"));
        if book.defaults.len() > 1 {
            seen("several defaults");
        }
        book.layers.iter().for_each(|_| seen("layer"));
        for scene in &book.scenes {
            match (scene.from, scene.with.len()) {
                (None, 0) => seen("scene alone"),
                (None, _) => seen("scene with"),
                (Some(_), 0) => seen("scene from"),
                (Some(_), _) => seen("scene from with"),
            }
            if scene.with.len() > 1 {
                seen("scene with several");
            }
            if scene.from.is_some_and(|parent| book.scenes[parent].from.is_some()) {
                seen("scene from from");
            }
        }
        for (code, count) in &answer.counts {
            (0..*count).for_each(|_| seen(code));
        }
        for row in &answer.rows {
            let loops = answer.columns.iter().zip(&row.stored).filter(|(column, _)| column.starts_with("loop-"));
            loops.filter(|(_, value)| *value == "?").for_each(|_| seen("unknown loop"));
            row.dashed.iter().filter(|c| *c == "-").for_each(|_| seen("free cell"));
            row.stored.iter().filter(|c| *c == "?").for_each(|_| seen("unknown cell"));
            self.scenes += 1;
            self.scenes_clean += usize::from(row.stored.iter().all(|c| c != "?"));
        }
        let conflict = answer.counts.keys().any(|code| code.ends_with("-disagree"));
        self.books_in_conflict += usize::from(conflict);
        self.scenes_in_conflict += super::naive::scenes_in_conflict(book);
    }

    pub(crate) fn check(&self, books: usize) {
        println!("{:#?}", self.seen);
        println!(
            "{books} books, {} in conflict; {} scenes, {} in conflict, {} with every cell known",
            self.books_in_conflict, self.scenes, self.scenes_in_conflict, self.scenes_clean
        );
        for (code, wanted) in WANTED.iter().flat_map(|(least, forms)| forms.iter().map(move |f| (f, least))) {
            let seen = self.seen.get(*code).copied().unwrap_or(0);
            assert!(seen * 1000 >= wanted * books, "`{code}` appears {seen} times in {books} books");
        }
        assert!(self.books_in_conflict * 10 >= books, "a tenth of the books conflict");
        assert!(self.scenes_in_conflict * 10 >= self.scenes, "a tenth of the scenes conflict");
        // A crowd of broken books would hide a wrong value behind a `?`.
        assert!(self.scenes_clean * 4 >= self.scenes, "a quarter of the scenes know every cell");
    }
}

fn saying(book: &Book, say: &Say, seen: &mut impl FnMut(&str)) {
    let fixed = |d: usize| !matches!(book.devices[d].seat, Seat::Loop(_));
    match *say {
        Say::Engage(d) => seen(if fixed(d) { "engage of always on" } else { "engage NAME" }),
        Say::Bypass(d) => seen(if fixed(d) { "bypass of always on" } else { "bypass NAME" }),
        Say::EngageLoop(_) => seen("engage loop"),
        Say::BypassLoop(_) => seen("bypass loop"),
        Say::Close(_) => seen("close"),
        Say::Open(_) => seen("open"),
        Say::Pulse(_) => seen("pulse"),
        Say::PortAt(..) => seen("expression at"),
        Say::PortFoot(..) => seen("expression foot"),
        Say::PortStays(_) => seen("expression stays"),
        Say::Output(_, on) => seen(if on { "output on" } else { "output off" }),
        Say::Mute => seen("mute"),
        Say::Set(d, p, to) => {
            let what = match &book.devices[d].parts[p].how {
                How::Contacts(_) => "contacts",
                How::Programs { .. } => "programs",
                How::FootStates(_) => "by foot",
                How::Port { .. } => "port",
                How::Cc { .. } => "cc",
            };
            let value = match to {
                To::State(_) => "state",
                To::Amount(_) => "amount",
                To::Foot(_) => "foot",
                To::Stays => "stays",
            };
            seen(&format!("set {what} to {value}"));
        }
    }
    let edge = |v: Milli, range: &Range, steps: i64| {
        let whole = (range.to - range.from).abs();
        2 * (v - range.from).abs() * (steps - 1) % (2 * whole) == whole
    };
    if let Say::Set(d, p, To::Amount(v)) = say
        && match &book.devices[*d].parts[*p].how {
            How::Port { range, .. } => edge(*v, range, book.switcher.steps),
            How::Cc { range, .. } => edge(*v, range, 128),
            _ => false,
        }
    {
        seen("amount between two steps");
    }
    match say {
        Say::PortFoot(_, foot) | Say::Set(_, _, To::Foot(foot)) => match foot {
            Foot::Anywhere => seen("foot from anywhere"),
            Foot::Heel => seen("foot from heel"),
            Foot::Toe => seen("foot from toe"),
        },
        _ => {}
    }
}

fn board(book: &Book, seen: &mut impl FnMut(&str)) {
    let mut shared: Vec<&Contacts> = Vec::new();
    for device in &book.devices {
        match device.seat {
            Seat::Loop(_) => seen(if device.always { "pedal always on in its loop" } else { "pedal in a loop" }),
            Seat::AlwaysOn => seen("pedal always on"),
            Seat::Tuner(n) => seen(if book.watched(n) { "tuner" } else { "tuner beside an amp" }),
            Seat::Amp(fed) => {
                seen(if fed.is_some() { "amp fed by output" } else { "amp fed by nothing" });
                if device.parts.iter().any(|p| matches!(p.how, How::Contacts(_))) {
                    seen("amp with channel");
                }
            }
        }
        for part in &device.parts {
            match &part.how {
                How::Contacts(contacts) => {
                    seen(match (contacts.jacks.len(), contacts.contacts().len()) {
                        (1, 1) => "control on one contact",
                        (1, _) => "control on one jack",
                        _ => "control on two jacks",
                    });
                    if contacts.normally_closed {
                        seen("control normally closed");
                    }
                    if contacts.shared {
                        seen("control shared");
                        let part = |other: &&&Contacts| {
                            other.contacts() != contacts.contacts()
                                && other.contacts().iter().any(|c| contacts.contacts().contains(c))
                        };
                        shared.iter().filter(part).for_each(|_| seen("control shared in part"));
                        shared.push(contacts);
                    }
                }
                How::Programs { .. } => seen("control on programs"),
                How::FootStates(_) => seen("control by foot"),
                How::Port { range, .. } => {
                    seen("level on port");
                    level(range, seen);
                    if book.switcher.steps != 128 {
                        seen("level of odd steps");
                    }
                }
                How::Cc { range, .. } => {
                    seen("level on cc");
                    level(range, seen);
                }
            }
        }
    }
}

fn level(range: &Range, seen: &mut impl FnMut(&str)) {
    if range.from > range.to {
        seen("level reversed");
    }
    if !range.written {
        seen("level without range");
    }
}
