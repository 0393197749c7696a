//! One thing that a scene may say otherwise.

use crate::book::device::{CC_STEPS, Contact};
use crate::book::{Book, How, amount};
use crate::ids::{ColumnId, ControlId, DeviceId};
use crate::settle::Cells;

/// One thing to say otherwise.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Change {
    /// Engage or bypass a loop.
    Loop { number: u16, on: bool },
    /// Open or close a contact.
    Contact { contact: Contact, closed: bool },
    /// An output on or off.
    Output { number: u16, on: bool },
    /// Put a control in a state.
    State { device: DeviceId, control: ControlId, state: u16 },
    /// Put a level on a stored step.
    Step { device: DeviceId, control: ControlId, step: u16 },
    /// Give a level to the foot.
    Foot { device: DeviceId, control: ControlId },
}

impl Change {
    /// As a command: "bypass `grit`", "say `combo.channel lead`".
    pub fn says(self, book: &Book) -> String {
        let (verb, what) = self.parts(book);
        format!("{} `{what}`", if verb.is_empty() { "say" } else { verb })
    }

    /// As a scene says it: "bypass grit", "combo.channel lead".
    pub fn statement(self, book: &Book) -> String {
        let (verb, what) = self.parts(book);
        if verb.is_empty() { what } else { format!("{verb} {what}") }
    }

    /// The cells that it settles.
    pub fn cells(self, cells: &Cells) -> Vec<ColumnId> {
        match self {
            Change::Loop { number, .. } => cells.loop_cell(number).into_iter().collect(),
            Change::Contact { contact, .. } => cells.contact_cell(contact.jack, contact.ring).into_iter().collect(),
            Change::Output { number, .. } => cells.output_cell(number).into_iter().collect(),
            Change::State { device, control, .. }
            | Change::Step { device, control, .. }
            | Change::Foot { device, control } => cells.of_control(device, control).to_vec(),
        }
    }

    /// It leaves a device out.
    pub fn out(self) -> bool {
        matches!(self, Change::Loop { on: false, .. })
    }

    /// A verb, if its statement begins with one, and what it is said of.
    fn parts(self, book: &Book) -> (&'static str, String) {
        let setting = |device: DeviceId, control: ControlId| {
            let device = book.board.devices.get(device)?;
            Some((device, device.controls.get(control)?))
        };
        let says = |device, control, value: String| match setting(device, control) {
            Some((d, c)) => ("", format!("{}.{} {value}", d.name, c.name)),
            None => ("", String::new()),
        };
        match self {
            Change::Loop { number, on } => {
                let what = book.board.in_loop(number).map_or_else(|| book.board.loop_says(number), |d| d.name.clone());
                (if on { "engage" } else { "bypass" }, what)
            }
            Change::Contact { contact, closed } => (if closed { "close" } else { "open" }, contact.says()),
            Change::Output { number, on } => ("", format!("output {number} {}", if on { "on" } else { "off" })),
            Change::State { device, control, state } => {
                if let Some((d, by)) = setting(device, control).and_then(|(d, _)| Some((d, d.engaged_by?)))
                    && by.control == control
                {
                    return (if state == by.engaged { "engage" } else { "bypass" }, d.name.clone());
                }
                let name = setting(device, control).and_then(|(_, c)| c.states.get(state as usize));
                says(device, control, name.map_or(String::new(), |s| s.name.clone()))
            }
            Change::Step { device, control, step } => {
                let ports = book.board.switcher.as_ref().map_or(CC_STEPS, |s| s.steps);
                let value = setting(device, control).and_then(|(_, c)| amount_at(&c.how, step, ports));
                says(device, control, value.unwrap_or_default())
            }
            Change::Foot { device, control } => says(device, control, "foot".to_owned()),
        }
    }
}

/// The roundest amount that is stored as this step.
fn amount_at(how: &How, step: u16, ports: u16) -> Option<String> {
    let (from, to) = how.level()?;
    Some(amount::show(amount::at_step(step, how.steps(ports), from, to)))
}
