//! A message that cannot be sent as the book says: its bytes, or when it is to go out.
//!
//! # On stage
//! The lights stay as they are, or the recorder does not start. A text with a wrong byte can also throw out whatever else
//! hangs on the line.
//!
//! # Way out
//! Mend the byte that is shown. What the switcher can do with messages is said once, as its own manual has it:
//! `messages 16 a preset, on leaving, after up to 30 s, only if changed, sysex up to 32 bytes`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! listener lamps { control dark on midi 5 programs from 1, on leaving { all: program 1 } }
//! scene bed { lamps.dark all }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; messages after up to 2 s }
//! listener lamps { control flash on midi 5 messages, after 3 s { hit: note 60 at 100 } }
//! scene bed { lamps.flash hit }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! listener deck { control tape on midi 5 messages { roll: sysex "F0 7D 1 F7"; halt: sysex "F0 7D 80 F7" } }
//! scene bed { deck.tape roll }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; messages sysex up to 4 bytes }
//! listener deck { control tape on midi 5 messages { roll: sysex "F0 7D 01 02 F7"; halt: sysex "F0 F7" } }
//! scene bed { engage deck }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; messages on leaving, after up to 2 s, only if changed, sysex up to 5 bytes }
//! listener lamps {
//!   control dark on midi 5 programs from 1, on leaving { all: program 1 }
//!   control flash on midi 5 messages, after 2 s, only if changed { hit: note 60 at 100, note 60 off }
//! }
//! listener deck { control tape on midi 6 messages { roll: sysex "F0 7D 01 02 F7" } }
//! scene bed { lamps.dark all; lamps.flash hit; deck.tape roll }
//! song "Quay" { bed }
//! ```

use crate::book::Fault;
use crate::book::fault::{MessageUnclear, WrongBytes};
use crate::book::message::seconds;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::MessageUnclear { at, name, why, there } = fault else { continue };
        let text = facts.text(*at);
        let cannot = |what: &str, say: &str| {
            let message = format!("the switcher does not say that it can send {what}");
            let help = format!("where its manual says so, say `messages {say}` in `switcher`; else take `{text}` out of `{name}`");
            (message, help, Some("it is described here"))
        };
        let (message, help, other) = match why {
            MessageUnclear::NotOnLeaving => cannot("as a preset is left", "on leaving"),
            MessageUnclear::NotLater => cannot("later than at the press", "after up to 30 s` with its own time, as `messages after up to 10 s"),
            MessageUnclear::NotOnlyChanged => cannot("only what changed", "only if changed"),
            MessageUnclear::TooLate(most) => (
                format!("`{name}` is to be sent {text}, and the switcher can wait {} at most", seconds(*most)),
                format!("let it go out sooner: after {} at most", seconds(*most)),
                Some("as said here"),
            ),
            MessageUnclear::TooLong(bytes, most) => (
                format!("this text has {bytes} bytes, and the switcher sends {most} at most"),
                "take a shorter one, or split what it asks for into several".to_owned(),
                Some("as said here"),
            ),
            MessageUnclear::Bytes(wrong) => bytes(*wrong, text),
            MessageUnclear::Engaged => (
                format!("`{name}` makes no sound: nothing engages or bypasses it"),
                sent(facts, name),
                Some("it is described here"),
            ),
        };
        let told = Diagnostic::new(*at, message);
        let told = match other {
            Some(says) if there != at => told.other(*there, says),
            _ => told,
        };
        out.push(told.help(help));
    }
}

/// How a scene says what is sent to a device.
fn sent(facts: &Facts<'_>, name: &str) -> String {
    let device = facts.book.board.devices.iter().find(|d| d.name == name);
    let first = device.and_then(|d| d.controls.iter().find_map(|c| Some((c, c.states.first()?))));
    first.map_or_else(
        || "messages alone reach it, and it is described without any".to_owned(),
        |(control, state)| format!("what is sent to it is said as `{name}.{} {}`", control.name, state.name),
    )
}

fn bytes(wrong: WrongBytes, text: &str) -> (String, String, Option<&'static str>) {
    let (message, help) = match wrong {
        WrongBytes::NoByte(place) => (
            format!("byte {place}, `{text}`, is no byte"),
            "write each byte as two hexadecimal digits, from 00 to FF: `0A`, not `A`",
        ),
        WrongBytes::NoData(place) => (
            format!("byte {place}, `{text}`, cannot stand inside a text: it is above 7F"),
            "between F0 and F7 there are bytes from 00 to 7F alone: compare with the device's manual",
        ),
        WrongBytes::NoBeginning => ("this text does not begin with F0".to_owned(), "put `F0` before its first byte"),
        WrongBytes::NoEnd => ("this text does not end with F7".to_owned(), "put `F7` behind its last byte"),
        WrongBytes::NoMaker => (
            "this text does not say whose it is".to_owned(),
            "behind F0 stands the maker's number: one byte, or `00` and two more; `7D` is for one's own use",
        ),
    };
    (message, help.to_owned(), None)
}
