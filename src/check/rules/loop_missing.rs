//! A loop that the switcher does not have.
//!
//! # On stage
//! There is no such jack to plug into, and no such cell to store: the pedal is never heard.
//!
//! # Way out
//! Name a loop that is there, or say how many loops the switcher has.
//!
//! # Fires
//! ```scene
//! switcher { loops 8 }
//! pedal ember { loop 11 }
//! ```
//! ```scene
//! switcher { loops 8 }
//! scene bed { bypass loop 9 }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 8 }
//! pedal ember { loop 8 }
//! ```

use crate::check::cells::count;
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::LoopMissing { at, has } = fault else { continue };
        let number = facts.text(*at).trim_start_matches("loop").trim();
        let loops = count(*has, "loop");
        let mut told = Diagnostic::new(*at, format!("there is no loop {number}: the switcher has {loops}"));
        if let Some(switcher) = &facts.book.board.switcher {
            told = told.other(switcher.at, format!("said to have {loops} here"));
        }
        out.push(match has {
            0 => told.help("say how many loops the switcher has, as `loops 8`"),
            _ => told.help(format!("the loops are numbered 1 to {has}")),
        });
    }
}
