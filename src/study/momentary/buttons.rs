//! Buttons: contacts that pulse, with the controls they turn round, and what each scene wishes of them.

use super::step::Stand;
use crate::book::Book;
use crate::ids::{ColumnId, ControlId, DeviceId, SceneId};
use crate::settle::{Answer, Row, Table, Value};

/// Contacts that pulse together, and every control that such a pulse moves on.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Button {
    /// The contacts' columns.
    pub cells: Vec<ColumnId>,
    /// The controls, as places in [`Buttons::controls`].
    pub controls: Vec<usize>,
}

/// A control that only pulses move.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Turned {
    /// The device, an index of `Board::devices`.
    pub device: DeviceId,
    /// The control, an index of the device's.
    pub control: ControlId,
    /// How many states it goes round.
    pub states: Stand,
    /// Where it stands after power-up; None when nobody knows.
    pub start: Option<Stand>,
    /// Its button.
    pub button: usize,
}

/// All buttons of a board.
#[derive(Clone, Debug, Default)]
pub struct Buttons {
    /// The buttons, in column order.
    pub list: Vec<Button>,
    /// The controls they move.
    pub controls: Vec<Turned>,
}

/// What a scene wishes of one control.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Wish {
    /// This state.
    State(Stand),
    /// Whatever it is: left as it is, or nobody hears it.
    Keep,
    /// A pulse, said in so many words.
    Pulse,
    /// Not known: the scene has mistakes of its own.
    Unclear,
}

impl Buttons {
    /// The buttons of a book's board. Controls that share a contact share a button.
    pub fn of(book: &Book, table: &Table) -> Buttons {
        let mut out = Buttons::default();
        for (d, device) in book.board.devices.pairs() {
            for (c, control) in device.controls.pairs().filter(|(_, c)| c.momentary()) {
                let cells = table.cells.of_control(d, c);
                let states = control.states.len().min(usize::from(Stand::MAX - 1)) as Stand;
                if cells.is_empty() || states < 2 {
                    continue;
                }
                let place = out.controls.len();
                let found = out.list.iter().position(|b| b.cells.iter().any(|c| cells.contains(c)));
                let button = found.unwrap_or(out.list.len());
                if found.is_none() {
                    out.list.push(Button { cells: Vec::new(), controls: Vec::new() });
                }
                if let Some(b) = out.list.get_mut(button) {
                    b.cells.extend(cells.iter().filter(|c| !b.cells.contains(c)).copied().collect::<Vec<_>>());
                    b.controls.push(place);
                }
                let start = control.start().map(|s| s as Stand);
                out.controls.push(Turned { device: d, control: c, states, start, button });
            }
        }
        out
    }

    /// What a scene wishes of each control.
    pub fn wishes(&self, book: &Book, table: &Table, scene: SceneId) -> Vec<Wish> {
        self.controls.iter().map(|turned| self.wish(book, table, scene, turned)).collect()
    }

    fn wish(&self, book: &Book, table: &Table, scene: SceneId, turned: &Turned) -> Wish {
        let cells = self.list.get(turned.button).map_or(&[][..], |b| &b.cells);
        let values = || cells.iter().map(|c| table.value(scene, *c));
        // Spanned in so many words, a pulse goes out whoever hears it.
        if values().any(|v| v == Value::Pulse) {
            return Wish::Pulse;
        }
        match Row::of(book, table, scene).sounds(turned.device) {
            Answer::Yes => {}
            Answer::No => return Wish::Keep,
            Answer::Maybe => return Wish::Unclear,
        }
        let own = table.cells.of_control(turned.device, turned.control);
        let mut wish = Wish::Keep;
        for value in own.iter().map(|c| table.value(scene, *c)) {
            match value {
                Value::State(state) => wish = Wish::State(state % turned.states),
                Value::Stays => {}
                _ => return Wish::Unclear,
            }
        }
        wish
    }
}
