//! The bytes that a preset sends: channel by channel, programs before control changes.
//!
//! MIDI 1.0 Detailed Specification v4.2.1 (MMA, February 1996): program change `Cn pp` and control change `Bn cc vv`,
//! channel less one in `n`, data 0 to 127 (tables I to III); a bank is chosen by controllers 0 and 32, at once followed
//! by the program change (p. 13 and 14).

use super::{CellKind, Row, Table, Value};
use crate::book::{Book, Device, How};

const BANK_HIGH: u8 = 0;
const BANK_LOW: u8 = 32;

/// A channel message.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Message {
    /// A control change: controller and value.
    Control(u8, u8),
    /// A program change: the byte sent, from 0.
    Program(u8),
}

/// Messages that set one thing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sent {
    /// The device, an index of `Board::devices`, and its control.
    pub control: (u16, u16),
    /// The channel, from 1.
    pub channel: u16,
    /// The messages, in order.
    pub messages: Vec<Message>,
}

impl Message {
    /// Its bytes, the status byte always among them.
    pub fn bytes(self, channel: u16) -> Vec<u8> {
        let n = (channel.saturating_sub(1) & 15) as u8;
        match self {
            Message::Control(controller, value) => vec![0xB0 | n, controller & 127, value & 127],
            Message::Program(program) => vec![0xC0 | n, program & 127],
        }
    }
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
    /// What the preset sends, in order.
    pub fn bytes(&self) -> Vec<Sent> {
        sent(self.book, self.table, self.scene)
    }
}

fn sent(book: &Book, table: &Table, scene: u32) -> Vec<Sent> {
    let mut out = Vec::new();
    for (c, cell) in table.cells.list.iter().enumerate() {
        let CellKind::Message { channel, device, control } = cell.kind else { continue };
        let found = book.board.devices.get(device as usize).and_then(|d| d.controls.get(control as usize));
        let Some(found) = found else { continue };
        let messages = match (&found.how, table.stored(scene, c as u16)) {
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
            _ => continue,
        };
        out.push(Sent { control: (device, control), channel, messages });
    }
    // A program may set a value back: so it goes before what is set by itself.
    out.sort_by_key(|sent| (sent.channel, !sent.messages.iter().any(|m| matches!(m, Message::Program(_)))));
    out
}

/// True when some program of a channel lies in a stated bank: then a bank is sent before each of them.
pub fn banked(book: &Book, wanted: u16) -> bool {
    let controls = book.board.devices.iter().flat_map(|d: &Device| &d.controls);
    controls.filter(|c| matches!(c.how, How::Programs { channel, .. } if channel == wanted)).any(|c| c.banked())
}
