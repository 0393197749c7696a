//! After a power loss: for each state that no preset holds by itself, the way back into step.

use crate::book::{Book, How};

/// What to do about one hidden state.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Recovery {
    /// What it is: `larch channel`, `hasp own switch`.
    pub what: String,
    /// How it stands after power-up.
    pub stands: String,
    /// What brings it into step.
    pub way: String,
}

/// The list for the sheet, in board order.
pub fn list(book: &Book) -> Vec<Recovery> {
    let mut out = Vec::new();
    for device in &book.board.devices {
        if let Some(on) = device.own_switch {
            let state = if on { "on" } else { "off" };
            out.push(Recovery {
                what: format!("{} own switch", device.name),
                stands: state.to_owned(),
                way: format!("see that it is {state}; no preset reaches it"),
            });
        }
        for control in &device.controls {
            let what = format!("{} {}", device.name, control.name);
            match &control.how {
                How::Remote { momentary: true, contacts, .. } => {
                    let start = control.start().and_then(|s| control.states.get(s));
                    let first = control.states.first().map_or("", |s| s.name.as_str());
                    let by_hand = contacts.first().map_or(String::new(), |c| c.says());
                    out.push(match start {
                        Some(state) => Recovery {
                            what,
                            stands: state.name.clone(),
                            way: format!(
                                "as the presets expect; if not, press it on the device until `{}`",
                                state.name
                            ),
                        },
                        None => Recovery {
                            what,
                            stands: "unknown".to_owned(),
                            way: format!("press it on the device ({by_hand} turns it) until `{first}`"),
                        },
                    });
                }
                How::Programs { .. } | How::CcStates { .. } => out.push(Recovery {
                    what,
                    stands: "unknown".to_owned(),
                    way: "press any preset that sends it".to_owned(),
                }),
                _ => {}
            }
        }
    }
    out
}
