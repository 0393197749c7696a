//! The bytes that a preset sends: what sounds before what does not, channel by channel, programs before all else.
//!
//! MIDI 1.0 Detailed Specification v4.2.1 (MMA, February 1996): a bank is chosen by controllers 0 and 32, at once followed
//! by the program change (p. 13 and 14). The bytes of a message are in `book::message`.

use super::{CellKind, Row, Table, Value};
pub use crate::book::message::Message;
use crate::book::message::{Cue, When};
use crate::book::{Book, Device, How};
use crate::ids::{ControlId, DeviceId, SceneId};

const BANK_HIGH: u8 = 0;
const BANK_LOW: u8 = 32;

/// Messages that set one thing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sent {
    /// The device, an index of `Board::devices`, and its control.
    pub control: (DeviceId, ControlId),
    /// The channel, from 1.
    pub channel: u16,
    /// The messages, in order.
    pub messages: Vec<Message>,
    /// When they are sent, and how often.
    pub cue: Cue,
    /// Nothing that sounds hears them.
    pub silent: bool,
}

impl Sent {
    /// All its bytes.
    pub fn bytes(&self) -> Vec<u8> {
        self.messages.iter().flat_map(|m| m.bytes(self.channel)).collect()
    }
}

/// The messages that choose a bank, counted from 1 to 16384.
pub fn bank(number: u16) -> [Message; 2] {
    let from_zero = number.saturating_sub(1);
    [Message::Control(BANK_HIGH, (from_zero >> 7) as u8 & 127), Message::Control(BANK_LOW, from_zero as u8 & 127)]
}

impl Row<'_> {
    /// What the preset sends, in order: as it is entered, as it is left, later.
    pub fn bytes(&self) -> Vec<Sent> {
        sent(self.book, self.table, self.scene)
    }

    /// What it sends then, in order.
    pub fn sent(&self, when: When) -> Vec<Sent> {
        self.bytes().into_iter().filter(|sent| sent.cue.when == when).collect()
    }
}

fn sent(book: &Book, table: &Table, scene: SceneId) -> Vec<Sent> {
    let mut out = Vec::new();
    for (c, cell) in table.cells.list.pairs() {
        let CellKind::Message { channel, device, control } = cell.kind else { continue };
        let found = book.board.devices.get(device).and_then(|d| d.controls.get(control));
        let Some(found) = found else { continue };
        let messages = match (&found.how, table.stored(scene, c)) {
            (How::Programs { from, .. }, value) => {
                let (program, stated) = match value {
                    Value::Program(program) => (Some(program), None),
                    Value::State(state) => {
                        let state = found.states.get(state as usize);
                        (state.and_then(|s| s.program), state.and_then(|s| s.bank))
                    }
                    _ => (None, None),
                };
                let Some(program) = program else { continue };
                let mut messages = Vec::new();
                // Where one program of a channel lies in a bank, the others must come back from there.
                if stated.is_some() || banked(book, channel) {
                    messages.extend(bank(stated.unwrap_or(1)));
                }
                messages.push(Message::Program(program.saturating_sub(*from) as u8));
                messages
            }
            (How::CcStates { cc, .. }, Value::Program(value)) => vec![Message::Control(*cc as u8, value as u8)],
            (How::Cc { cc, .. }, Value::Step(step)) => vec![Message::Control(*cc as u8, step as u8)],
            (How::Messages { .. }, Value::State(state)) => match found.states.get(state as usize) {
                Some(state) => state.messages.clone(),
                None => continue,
            },
            _ => continue,
        };
        let silent = cell.listens && !sounding(book, channel);
        out.push(Sent { control: (device, control), channel, messages, cue: found.cue, silent });
    }
    // A program may set a value back: so it goes before what is set by itself.
    let set = |sent: &Sent| !sent.messages.iter().any(|m| matches!(m, Message::Program(_)));
    out.sort_by_key(|sent| (sent.cue.when, sent.silent, sent.channel, set(sent)));
    out
}

/// True when something that sounds listens on a channel.
fn sounding(book: &Book, wanted: u16) -> bool {
    let devices = book.board.devices.iter().filter(|d| !d.listens());
    devices.flat_map(|d| &d.controls).any(|c| c.how.channel() == Some(wanted))
}

/// True when some program of a channel lies in a stated bank: then a bank is sent before each of them.
pub fn banked(book: &Book, wanted: u16) -> bool {
    let controls = book.board.devices.iter().flat_map(|d: &Device| &d.controls);
    controls.filter(|c| matches!(c.how, How::Programs { channel, .. } if channel == wanted)).any(|c| c.banked())
}
