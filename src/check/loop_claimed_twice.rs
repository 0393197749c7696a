//! Two pedals in one loop.
//!
//! # On stage
//! A loop has one send and one return: one of the two pedals is not plugged in, and the scenes that want it are silent.
//!
//! # Way out
//! Give one of them a loop of its own.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal haze { loop 1 }
//! ```
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 2 }
//! pedal haze { place top; loop 2 stereo }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal haze { loop 2 }
//! ```

use super::{Diagnostic, Facts, Severity};
use crate::book::{Device, Fault};

pub const SEVERITY: Severity = Severity::Error;

pub fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::LoopClaimed { at, first, number } = fault else { continue };
        let sits = |place| {
            let here = |d: &&Device| d.loop_at.is_some_and(|l| l.at == place);
            facts.book.devices.iter().find(here).map_or("", |d| d.name.as_str())
        };
        let (one, two) = (sits(*first), sits(*at));
        let told = Diagnostic::new(*at, format!("`{two}` is put in loop {number}, where `{one}` sits"))
            .label("taken")
            .other(*first, format!("`{one}` is put there here"));
        let loops = facts.book.switcher.as_ref().map_or(0, |s| s.loops);
        out.push(match (1..=loops).find(|n| facts.book.in_loop(*n).is_none()) {
            Some(free) => told.help(format!("loop {free} has nothing in it")),
            None => told.help("every loop is taken: leave one of the two out, or say `always on`"),
        });
    }
}
