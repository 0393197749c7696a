//! After a power loss: for each state that no preset holds by itself, the way back into step.

use crate::book::message::When;
use crate::book::{Book, Device, How};
use crate::ids::{ControlId, DeviceId};
use crate::settle::{Answer, Row, Table, Value};

/// What to do about one hidden state.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Recovery {
    /// The device, an index of the board's.
    pub device: DeviceId,
    /// What it is: `larch channel`, `hasp own switch`.
    pub what: String,
    /// How it stands after power-up.
    pub stands: String,
    /// What brings it into step.
    pub way: String,
}

/// A pedal that a scene engages and whose own switch somebody spoke of: it has to be on before anybody plays.
pub fn to_be_on<'a>(book: &'a Book, table: &'a Table) -> impl Iterator<Item = (DeviceId, &'a Device)> + 'a {
    let devices = book.board.devices.pairs();
    // What a control of its own engages, a preset turns.
    let spoken = devices.filter(|(_, device)| device.own_switch.is_some() && device.engaged_by.is_none());
    spoken.filter(|(number, _)| {
        let mut stored = book.show.scenes.pairs().filter(|(_, scene)| !scene.faulty && !scene.repeated);
        stored.any(|(scene, _)| Row::of(book, table, scene).sounds(*number) == Answer::Yes)
    })
}

/// The list for the sheet, in board order.
pub fn list(book: &Book, table: &Table) -> Vec<Recovery> {
    let mut out = Vec::new();
    let to_be_on: Vec<DeviceId> = to_be_on(book, table).map(|(number, _)| number).collect();
    for (number, device) in book.board.devices.pairs() {
        if let Some(starts) = device.own_switch {
            let word = |on: bool| if on { "on" } else { "off" };
            let way = if device.engaged_by.is_some() {
                "the first preset that engages or bypasses it turns it".to_owned()
            } else {
                let wanted = word(starts || to_be_on.contains(&number));
                format!("see that it is {wanted}; no preset reaches it")
            };
            let what = format!("{} own switch", device.name);
            out.push(Recovery { device: number, what, stands: word(starts).to_owned(), way });
        }
        // A helper is called as one thing: what it wakes on, nobody said.
        if device.helper.is_some() {
            let holds = device.controls.iter().any(|c| matches!(c.how, How::Remote { .. }));
            let (stands, way) = if holds {
                ("as its contacts", "they stand as in the preset that the switcher stands at")
            } else {
                ("not said", "press any preset before you play: that calls it")
            };
            let (what, way) = (format!("{} (helper)", device.name), way.to_owned());
            out.push(Recovery { device: number, what, stands: stands.to_owned(), way });
            continue;
        }
        for (nth, control) in device.controls.pairs() {
            let what = format!("{} {}", device.name, control.name);
            match &control.how {
                How::Remote { momentary: true, contacts, .. } => {
                    let start = control.start().and_then(|s| control.states.get(s));
                    let first = control.states.first().map_or("", |s| s.name.as_str());
                    let by_hand = contacts.first().map_or(String::new(), |c| c.says());
                    out.push(match start {
                        Some(state) => Recovery {
                            device: number,
                            what,
                            stands: state.name.clone(),
                            way: format!(
                                "as the presets expect; if not, press it on the device until `{}`",
                                state.name
                            ),
                        },
                        None => Recovery {
                            device: number,
                            what,
                            stands: "unknown".to_owned(),
                            way: format!("press it on the device ({by_hand} turns it) until `{first}`"),
                        },
                    });
                }
                // What is sent once more at another moment does not tell how the device stands.
                how if sent(how) && control.cue.when == When::Entering && left(book, table, (number, nth)) => {
                    out.push(Recovery {
                        device: number,
                        what,
                        stands: "unknown".to_owned(),
                        way: "press any preset that sends it".to_owned(),
                    });
                }
                _ => {}
            }
        }
    }
    out
}

/// True of what reaches a device only as a preset sends it, and is kept by the device alone.
fn sent(how: &How) -> bool {
    how.channel().is_some() || matches!(how, How::Pulses { .. } | How::Clock)
}

/// True of a control that one preset sends and another does not: after that one, it stands as the power loss left it.
fn left(book: &Book, table: &Table, (device, control): (DeviceId, ControlId)) -> bool {
    let Some(column) = table.cells.of_control(device, control).first() else { return false };
    let (mut sends, mut leaves) = (false, false);
    for (scene, _) in book.show.scenes.pairs().filter(|(_, scene)| !scene.faulty && !scene.repeated) {
        match table.stored(scene, *column) {
            Value::Stays => leaves = true,
            _ => sends = true,
        }
        if sends && leaves {
            return true;
        }
    }
    false
}
