//! An order of loops that no preset can store: the unit keeps to the order of the chains, or the loops do not follow each
//! other inside it.
//!
//! # On stage
//! The echo comes before the drive, and what was to sound clear is mud.
//!
//! # Way out
//! Where the unit stores an order with each preset, say so in its description: `order of loops per preset`. Name two loops or
//! more between which no lead leaves the unit. Loops that are not named stay where the chain has them.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1 }
//! pedal crest { loop 2 }
//! scene bed { engage gully, crest; order crest, gully }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2; outputs 1; order of loops per preset }
//! pedal gully { loop 1 }
//! pedal crest { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage gully, crest; order crest, larch }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2; outputs 1; order of loops per preset }
//! pedal gully { loop 1 }
//! buffer attic
//! pedal crest { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> gully -> attic -> crest -> output 1
//! scene bed { engage gully, crest; order crest, gully }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; outputs 1; order of loops per preset }
//! pedal gully { loop 1 }
//! pedal crest { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! scene bed { engage gully, crest; order crest, gully }
//! song "Quay" { bed }
//! ```

use crate::book::{DeviceKind, Fault};
use crate::book::fault::NoOrder;
use crate::check::{Diagnostic, Facts, Severity};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let says = |number: u16| match facts.book.board.in_loop(number) {
        Some(device) => format!("`{}`", device.name),
        None => format!("loop {number}"),
    };
    for fault in facts.binding {
        let Fault::OrderUnclear { at, why } = fault else { continue };
        out.push(match *why {
            NoOrder::Unit(switcher) => Diagnostic::new(*at, "nobody said that the unit has an order of loops for each preset")
                .other(switcher, "the unit is described here")
                .help("where the unit stores one, its description takes the line `order of loops per preset`; else the loops come as in the chain"),
            NoOrder::Alone(number) => Diagnostic::new(*at, format!("{} alone has no order", says(number)))
                .help("name two loops or more, in the order in which the sound passes them, as `order crest, gully`"),
            NoOrder::Twice(number) => Diagnostic::new(*at, format!("{} is named twice in one order", says(number)))
                .help("the sound passes each loop once: name it once"),
            NoOrder::Apart(one, other) => Diagnostic::new(
                *at,
                format!("{} and {} do not follow each other inside the unit", says(one), says(other)),
            )
            .help("only loops between which no lead leaves the unit, and no chain begins or ends, can change places: see the chain"),
            NoOrder::InNoLoop(there) => {
                let name = facts.text(*at);
                Diagnostic::new(*at, format!("`{name}` stands in no loop of the unit, so it has no place in an order of them"))
                    .other(there, format!("`{name}` is described here, without a loop"))
                    .help(match facts.book.board.devices.iter().find(|d| d.at == there).map(|d| d.kind) {
                        Some(DeviceKind::Pedal) => "leave it out here; or, if it sits in one, say its `loop` in its description",
                        _ => "name pedals that stand in loops of the unit, or the loops themselves, and leave this one out",
                    })
            }
            NoOrder::Helper => Diagnostic::new(*at, "a loop of a helper keeps its place")
                .help("name loops of the switcher itself"),
        });
    }
}
