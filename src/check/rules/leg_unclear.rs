//! Legs, or an insert that stays in, of something that cannot have them so.
//!
//! # On stage
//! The tool would reckon with a way through the device that is not there: a level that nobody hears, or none where there is one.
//!
//! # Way out
//! Legs are those of a pedal or a buffer, and with legs a chain says which one it leads to, as `braid wet send`. An insert
//! stays in only in a pedal that bypasses itself: a loop takes it out with the pedal.
//!
//! # Fires
//! ```scene
//! switcher { loops 3, split after 2; outputs 1 }
//! guitar plank
//! pedal ember { loop 1; send 1 kohm; return 500 kohm; insert stays }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain insert: ember send -> loop 3 -> ember return
//! scene bed { engage ember, grit }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 3, split after 2; outputs 1 }
//! guitar plank
//! pedal braid { loop 2; leg dry; leg wet }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain wet: braid send -> loop 3 -> braid return
//! scene bed { engage braid, grit }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 3, split after 2; outputs 1 }
//! guitar plank
//! pedal braid { loop 2; leg dry; leg wet }
//! pedal grit { loop 3 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain wet: braid wet send -> loop 3 -> braid wet return
//! scene bed { engage braid, grit }
//! song "Quay" on plank { bed }
//! ```

use crate::ids::DeviceId;
use crate::book::electric::{LinkWhat, OwnJack};
use crate::book::{Device, DeviceKind};
use crate::check::{Diagnostic, Facts, Severity, say};
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    for (number, device) in board.devices.pairs().filter(|(_, d)| !d.faulty) {
        let name = &device.name;
        if let (Some(leg), DeviceKind::Amp) = (device.electric.legs.first(), device.kind) {
            out.push(
                Diagnostic::new(leg.at, format!("`{name}` is an amplifier, and has no legs"))
                    .other(device.at, "described here")
                    .help("legs are of a pedal or a buffer: describe what mixes as one"),
            );
            continue;
        }
        let Some(stays) = device.electric.insert_stays else { continue };
        if let Some(loop_at) = device.loop_at {
            let message = format!("the insert of `{name}` cannot stay in: loop {} takes it out with `{name}`", loop_at.value);
            let told = Diagnostic::new(stays, message).other(loop_at.at, "its loop");
            let says = "take `insert stays` out".to_owned();
            out.push(told.way("", says, facts.take_out(stays)).help("take `insert stays` out, or the pedal out of its loop"));
        } else if !facts.route().faulty && !facts.route().arrives(Place::Return(number)) && !facts.book.broken {
            out.push(
                Diagnostic::new(stays, format!("nothing is plugged into the insert of `{name}`"))
                    .help(format!("lead a chain through it, as `chain insert: {name} send -> loop 3 -> {name} return`")),
            );
        }
    }
    // Once a device: who forgets it at the send forgets it at the return.
    let mut told_of: Vec<DeviceId> = Vec::new();
    for link in board.chains.iter().filter(|c| !c.faulty).flat_map(|c| &c.links) {
        let LinkWhat::Device { device, jack: Some(jack), .. } = &link.what else { continue };
        let number = *device;
        let Some(device) = board.devices.get(number).filter(|d| !d.electric.legs.is_empty()) else { continue };
        let word = match jack {
            OwnJack::Send => "send",
            OwnJack::Return => "return",
            _ => continue,
        };
        if told_of.contains(&number) {
            continue;
        }
        told_of.push(number);
        let legs: Vec<String> = device.electric.legs.iter().map(|l| format!("`{} {} {word}`", device.name, l.name)).collect();
        let told = Diagnostic::new(link.at, format!("`{}` has legs, and this does not say which of them", device.name));
        out.push(told.other(first(device), "its first leg").help(format!("say {}", say::joined(&legs, "or"))));
    }
}

fn first(device: &Device) -> crate::source::Span {
    device.electric.legs.first().map_or(device.at, |l| l.at)
}
