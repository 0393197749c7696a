//! A scene or a song asks a foot for something that no foot can move.
//!
//! # On stage
//! The player reaches for it in the middle of a song, and there is nothing under the foot.
//!
//! # Way out
//! Put the pedal in the raised row, describe the treadle or the tap that is there, or let the preset set it.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal swirl { loop 1; place under; control speed by foot { slow; fast } }
//! scene bed { engage swirl; swirl.speed slow }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; throb.depth foot }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal throb { loop 1; place top }
//! scene bed { engage throb }
//! song "Quay" at 92 bpm { all: bed, tap throb quarter }
//! ```
//!
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! treadle rocker feeds expression 1
//! pedal throb { loop 1; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; rocker moves throb.depth from 10 % to 40 % }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1; foot inputs 1 }
//! treadle rocker on foot input 1
//! pedal throb { loop 1; place top; level depth by foot from 0 % to 60 % }
//! scene bed { engage throb; throb.depth 10 %; rocker moves throb.depth }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; expressions 1 of 128 steps }
//! treadle rocker feeds expression 1
//! pedal swirl { loop 1; place top; tap by foot; control speed by foot { slow; fast } }
//! pedal throb { loop 2; place under; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage swirl, throb; swirl.speed slow; throb.depth foot from heel }
//! song "Quay" at 92 bpm { all: bed, tap swirl quarter }
//! ```
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps; foot inputs 1 }
//! treadle rocker on foot input 1
//! pedal throb { loop 1; place under; level depth on expression 1 from 0 % to 60 % }
//! scene bed { engage throb; rocker moves throb.depth from 10 % to 40 % }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::syntax::kind::Kind;
use crate::book::{Fault, Plugged};
use crate::book::fault::OutOfReach;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    // Of two treadles on one port, one may have been meant for the port that has none.
    let doubled = facts.binding.iter().any(|f| matches!(f, Fault::PortFedTwice { .. }));
    for fault in facts.binding {
        let Fault::FootCannotReach { at, device, why, there } = fault else { continue };
        if doubled && matches!(why, OutOfReach::NoTreadle(_)) {
            continue;
        }
        let (message, help) = match why {
            OutOfReach::Under => (
                format!("no foot reaches `{device}`: it is tucked under the raised row"),
                format!("decide whether `{device}` stands in the raised row, or no foot moves it here"),
            ),
            OutOfReach::NoTreadle(port) => (
                format!("no treadle feeds expression {port}, so no foot can move it"),
                match facts.book.board.treadles.iter().find(|t| matches!(t.plugged, Plugged::Input(_))) {
                    Some(treadle) => format!(
                        "the scene says what `{0}` moves, as `{0} moves` and the level; or describe the treadle that feeds it, as \
                         `treadle NAME feeds expression {port}`",
                        treadle.name
                    ),
                    None => {
                        format!("describe the treadle, as `treadle NAME feeds expression {port}`, or say what it is to hold")
                    }
                },
            ),
            OutOfReach::NotByFoot => (
                format!("a foot has nothing to move this with: on `{device}` the preset sets it"),
                "say a value or a state".to_owned(),
            ),
            OutOfReach::OnDevice => (
                format!("no treadle of the switcher reaches this level: it is moved on `{device}` itself"),
                "a foot does it there: ask for `foot` or a value, or move another level".to_owned(),
            ),
            OutOfReach::Feeds(port) => (
                format!("`{device}` feeds expression {port}, and moves what hangs there alone"),
                format!("put it on an input, as `treadle {device} on foot input 1`, or say `foot` of the level on expression {port}"),
            ),
            OutOfReach::NoTap => (
                format!("`{device}` has nothing to tap"),
                format!("decide whether `{device}` takes taps, or take the tap out"),
            ),
        };
        let told = Diagnostic::new(*at, message);
        let told = match why {
            OutOfReach::Under => told
                .way(
                    "",
                    format!("put `{device}` in the raised row with `place top`"),
                    facts.in_block_as(*there, Kind::Place, "place top"),
                )
                .way("", "take this out", facts.take_out(*at)),
            OutOfReach::NoTap => told
                .way("", format!("say `tap by foot` in the description of `{device}`"), facts.in_block(*there, "tap by foot"))
                .besides("take the tap out"),
            _ => told,
        };
        let told = told.help(help);
        let told = match why {
            OutOfReach::Under => told.other(*there, "tucked under here"),
            _ if there != at => told.other(*there, format!("`{device}` is described here")),
            _ => told,
        };
        out.push(told);
    }
}
