//! A remote jack, an expression port or an output that the switcher does not have.
//!
//! # On stage
//! There is no such jack to plug into, and no such cell to store: the amp never changes channel.
//!
//! # Way out
//! Name one that is there, or say how many the switcher has.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 2 }
//! pedal sift { loop 1; control voice on remote 7 tip { round: open; sharp: closed } }
//! ```
//! ```scene
//! switcher { loops 1; outputs 2 }
//! scene bed { output 3 off }
//! song "Quay" { all: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 2; outputs 2 }
//! pedal sift { loop 1; control voice on remote 2 tip { round: open; sharp: closed } }
//! scene bed { output 2 off; output 1 on }
//! amp combo { fed by output 2 }
//! song "Quay" { all: bed }
//! ```

use crate::check::cells::count;
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::JackMissing { at, what, has } = fault else { continue };
        let (noun, line) = match *what {
            "remote" => ("remote jack", "remote jacks 4"),
            "expression" => ("expression port", "expressions 1 of 128 steps"),
            _ => ("output", "outputs 2"),
        };
        let (number, owns) = (facts.text(*at), count(*has, noun));
        let mut told = Diagnostic::new(*at, format!("there is no {what} {number}: the switcher has {owns}"));
        if let Some(switcher) = &facts.book.board.switcher {
            told = told.other(switcher.at, format!("said to have {owns} here"));
        }
        out.push(match has {
            0 => told.help(format!("say how many the switcher has, as `{line}`")),
            1 => told.help(format!("the only one is {what} 1; if there are more, say so as `{line}`")),
            _ => told.help(format!("the {noun}s are numbered 1 to {has}; if there are more, say so as `{line}`")),
        });
    }
}
