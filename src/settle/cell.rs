//! A column: what it drives, and what it holds when nobody says anything.

use super::value::Value;
use crate::book::device::Contact;
use crate::ids::{ControlId, DeviceId};

/// What a column is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum CellKind {
    /// A loop, from 1.
    Loop(u16),
    /// A contact of a remote jack.
    Contact(Contact),
    /// A contact whose pulses give a device its tempo: a level, which is the spacing; indexes of device and control.
    Taps { contact: Contact, device: DeviceId, control: ControlId },
    /// The tempo of the clock that the switcher sends: a level.
    Clock,
    /// An expression port, from 1.
    Port(u16),
    /// An output, from 1.
    Output(u16),
    /// The trim of an output, from 1.
    Trim(u16),
    /// Which of the switcher's inputs for guitars is heard.
    Guitar,
    /// The order in which the signal passes the unit's loops.
    Order,
    /// A MIDI message to a control: channel 1 to 16; indexes of device and control.
    Message { channel: u16, device: DeviceId, control: ControlId },
    /// What a foot or hand does on the device; indexes of device and control.
    ByFoot { device: DeviceId, control: ControlId },
}

impl CellKind {
    /// True for a level that is a tempo in beats a minute, on the scale of all tempi.
    pub fn paced(self) -> bool {
        matches!(self, CellKind::Taps { .. } | CellKind::Clock)
    }
}

/// A column.
#[derive(Clone, Debug)]
pub struct Cell {
    /// What it is.
    pub kind: CellKind,
    /// Its name in tables: `loop-1`, `remote-1-tip`, `midi-3:throb.wave`.
    pub name: String,
    /// Steps, for a level; 0 for anything else.
    pub steps: u16,
    /// The controls that use it: indexes of device and control.
    pub users: Vec<(DeviceId, ControlId)>,
    /// A device's tempo: what songs say of it holds where no scene says anything, and nothing is sent where none does.
    pub tempo: bool,
    /// It engages a device: never free, and bypassing where nobody says otherwise, as a loop.
    pub switches: bool,
    /// It is sent to a device that makes no sound: never free, and nothing is sent where nobody says anything.
    pub listens: bool,
    /// A helper stores it: the switcher's memory has no such cell.
    pub apart: bool,
    /// It calls a helper: what it holds follows from the helper's loops, and nobody says it.
    pub calls: bool,
    /// A contact that is closed when the unit is off.
    pub closed: bool,
    /// What a free cell holds when nothing prefers another value.
    pub rest: Value,
    /// What the cell holds when no statement settles it and no control uses it.
    pub unsaid: Value,
}

impl Cell {
    /// What an empty preset has here, and with it whoever types nothing in: a loop is out, a contact rests, a port is at
    /// 0 %, nothing is sent. None where units differ (outputs), and where nothing is stored.
    pub fn empty(&self) -> Option<Value> {
        match self.kind {
            CellKind::Loop(_) if self.apart => None,
            CellKind::Loop(_) => Some(Value::Off),
            CellKind::Contact(_) if self.pulses() => Some(Value::Stays),
            CellKind::Contact(_) => Some(Value::of(self.closed)),
            CellKind::Port(_) => Some(Value::Step(0)),
            CellKind::Order => Some(self.unsaid),
            CellKind::Message { .. } | CellKind::Taps { .. } | CellKind::Clock => Some(Value::Stays),
            CellKind::Output(_) | CellKind::Trim(_) | CellKind::Guitar | CellKind::ByFoot { .. } => None,
        }
    }

    /// True for a contact that pulses.
    pub fn pulses(&self) -> bool {
        self.rest == Value::Stays && matches!(self.kind, CellKind::Contact(_))
    }

    /// True where it matters whatever sounds.
    pub fn always(&self) -> bool {
        self.switches || self.listens
    }

    /// True where it holds a value of its own when nobody says one: nothing uses it, or it engages a device.
    pub fn holds_unsaid(&self) -> bool {
        self.users.is_empty() || self.always()
    }
}
