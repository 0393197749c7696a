//! A tuner that stands where it would be heard, or where nothing reaches it.
//!
//! # On stage
//! A tuner is watched, not heard: it hangs on an output of its own, which stays on while everything is muted. Between
//! the guitar and an amplifier it would be one more device that everybody hears.
//!
//! # Way out
//! Let an output feed it, as `fed by output 2`, and lead a chain to that output. One that stands in the signal's way, or
//! in a loop, is a pedal like any other: leave the word `tuner` out.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; outputs 1 }
//! pedal needle { loop 1; tuner }
//! scene bed { engage needle }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2 }
//! pedal ember { loop 1 }
//! pedal needle { tuner }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; outputs 2 }
//! guitar plank
//! pedal ember { loop 1 }
//! pedal needle { tuner; fed by output 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loop 1 -> output 1
//! chain watch: loop 1 -> output 2
//! scene bed { engage ember }
//! scene hush { mute }
//! song "Quay" on plank { bed; hush }
//! ```

use crate::book::DeviceKind;
use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::kind::Kind;
use crate::study::route::Place;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let route = facts.route();
    for (number, device) in facts.book.board.devices.pairs().filter(|(_, d)| !d.faulty) {
        let Some(at) = device.tuner else { continue };
        let name = &device.name;
        let place = Place::Device(number);
        let goes_on = || route.leaving(place).iter().filter_map(|e| route.edges.get(*e)).next();
        let (message, other) = if let Some(loop_at) = device.loop_at {
            (format!("`{name}` is a tuner, and sits in {}, where it is heard", facts.book.board.loop_says(loop_at.value)), Some((loop_at.at, "its loop")))
        } else if device.kind != DeviceKind::Pedal {
            (format!("`{name}` is a tuner, and described as {} {}, which is heard", article(device.kind), device.kind.word()), Some((device.at, "described here")))
        } else if device.fed_by.is_none() && goes_on().is_some() && !route.faulty {
            // What an output feeds and leads on is asked of the amplifier it reaches.
            (format!("`{name}` is a tuner, and a chain goes on from it, so it is heard"), None)
        } else if device.fed_by.is_none() && !route.arrives(place) && !route.faulty && !facts.book.broken {
            (format!("`{name}` is a tuner, and nothing feeds it"), None)
        } else {
            continue;
        };
        let mut told = Diagnostic::new(at, message);
        if let Some((at, says)) = other {
            told = told.other(at, says);
        }
        let outputs = facts.book.board.switcher.as_ref().map_or(0, |s| s.outputs);
        let feeds = |n: &u16| facts.book.board.devices.iter().any(|d| d.fed_by.is_some_and(|f| f.value == *n));
        let fed = device.fed_by.map(|f| f.value).or((1..=outputs).find(|n| !feeds(n)));
        let out_of_it = device.loop_at.map_or(String::new(), |l| format!("take it out of {}, and ", facts.book.board.loop_says(l.value)));
        let heard = "if it is to be heard, no `tuner` stands in it";
        out.push(match (fed, device.fed_by) {
            (Some(output), Some(_)) if device.loop_at.is_none() => told.help(format!("let it end at output {output}, or {heard}")),
            (Some(output), _) => {
                let say = format!("fed by output {output}");
                let fed = facts.in_block_as(device.at, Kind::FedBy, &say);
                let out = device.loop_at.map_or(Some(Vec::new()), |l| facts.take_out(l.at));
                let edits = out.zip(fed).map(|(out, fed)| [out, fed].concat());
                told.way("", format!("{out_of_it}say `{say}` in `{name}`"), edits)
                    .besides(heard)
                    .help(format!("decide which output feeds it, or {heard}"))
            }
            (None, _) => told.help(format!("end a chain at it, or {heard}")),
        });
    }
}

fn article(kind: DeviceKind) -> &'static str {
    if kind == DeviceKind::Amp { "an" } else { "a" }
}
