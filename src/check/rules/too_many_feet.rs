//! A part of a song that asks for more than two feet while it sounds, or for both on treadles: levels held by the foot, and
//! tempos to tap.
//!
//! # On stage
//! One foot stands. The other is on one treadle, and what it cannot reach stays where it was, or is late.
//!
//! # Way out
//! Let the preset hold one of the levels, tap in the part before, or say that it is meant:
//! `allow too-many-feet SCENE "sits at that point"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal tide { loop 1; level depth on expression 1 from 0 % to 60 % }
//! pedal gully { loop 2; level blend on expression 2 from 0 % to 100 % }
//! treadle left feeds expression 1
//! treadle right feeds expression 2
//! scene swell { engage tide, gully; tide.depth foot from heel; gully.blend foot from heel }
//! song "Quay" { swell }
//! ```
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal tide { loop 1; place top; tap by foot; level depth on expression 1 from 0 % to 60 % }
//! pedal gully { loop 2; place top; tap by foot }
//! treadle left feeds expression 1
//! scene swell { engage tide, gully; tide.depth foot from heel }
//! song "Quay" at 92 bpm { swell, tap tide quarter, tap gully eighth }
//! ```
//!
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps; foot inputs 2 }
//! pedal tide {
//!   loop 1
//!   level depth on expression 1 from 0 % to 60 %
//!   level blend on expression 2 from 0 % to 100 %
//! }
//! treadle left on foot input 1
//! treadle right on foot input 2
//! scene swell { engage tide; left from heel moves tide.depth; right from heel moves tide.blend }
//! song "Quay" { swell }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2; expressions 2 of 128 steps }
//! pedal tide { loop 1; place top; tap by foot; level depth on expression 1 from 0 % to 60 % }
//! pedal gully { loop 2; level blend on expression 2 from 0 % to 100 % }
//! treadle left feeds expression 1
//! treadle right feeds expression 2
//! scene swell { engage tide, gully; tide.depth foot from heel; gully.blend 20 % }
//! song "Quay" at 92 bpm { swell, tap tide quarter }
//! ```
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps; foot inputs 1 }
//! pedal tide {
//!   loop 1
//!   level depth on expression 1 from 0 % to 60 %
//!   level blend on expression 2 from 0 % to 100 %
//! }
//! treadle rocker on foot input 1
//! scene swell { engage tide; rocker moves tide.depth from 10 % to 50 %, tide.blend from 80 % to 20 % }
//! song "Quay" { swell }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::settle::Value;
use crate::study::walk::Manual;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let mut told = Vec::new();
    for change in facts.changes().filter(|c| c.crowded()) {
        // However the part is come to, it asks the same.
        if told.contains(&change.to.part) {
            continue;
        }
        told.push(change.to.part);
        let held = change.held.iter().map(|(device, control)| {
            let column = facts.table.cells.of_control(*device, *control).first();
            match column.map(|c| facts.table.stored(change.to.scene, *c)) {
                // A treadle of several levels is one thing to stand on.
                Some(Value::Moved(travel)) => format!("`{}`", facts.book.board.treadle_name(travel.input())),
                _ => {
                    let level = facts.control(*device, *control).map_or("", |c| &c.name);
                    format!("`{}` {level}", facts.device(*device))
                }
            }
        });
        let taps = change.manual.iter().filter_map(|manual| match manual {
            Manual::Tap { device, .. } => Some(format!("a tap on `{}`", device.map_or("", |d| facts.device(d)))),
            _ => None,
        });
        let wants: Vec<String> = held.chain(taps).collect();
        let scene = facts.scene(change.to.scene);
        let count = if wants.len() == 2 { "both feet".to_owned() } else { format!("{} feet", wants.len()) };
        out.push(
            Diagnostic::new(facts.played(change.to.part).0, format!("`{scene}` wants {count} while it sounds"))
                .label(say::joined(&wants, "and"))
                .about(scene)
                .help("let the scene hold one of the levels, or tap in the part before"),
        );
    }
}
