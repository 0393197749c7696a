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
use crate::syntax::kind::Kind;
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::JackMissing { at, what, has } = fault else { continue };
        let number = facts.text(*at);
        let ports = facts.book.board.switcher.as_ref().map_or(128, |s| s.steps);
        let (noun, kind, line) = match *what {
            "remote" => ("remote jack", Kind::Jacks, format!("remote jacks {number}")),
            "expression" => ("expression port", Kind::Ports, format!("expressions {number} of {ports} steps")),
            "guitar input" => ("guitar input", Kind::GuitarInputs, format!("guitar inputs {number}")),
            "foot input" => ("foot input", Kind::FootInputs, format!("foot inputs {number}")),
            _ => ("output", Kind::Outputs, format!("outputs {number}")),
        };
        let owns = count(*has, noun);
        let mut told = Diagnostic::new(*at, format!("there is no {what} {number}: the switcher has {owns}"));
        if let Some(switcher) = &facts.book.board.switcher {
            told = told.other(switcher.at, format!("said to have {owns} here"));
        }
        let switcher = facts.book.board.switcher.as_ref();
        let edits = switcher.and_then(|s| facts.in_block_as(s.at, kind, &line));
        let there = match has {
            0 => "say how many the switcher has".to_owned(),
            1 => format!("the only one is {what} 1"),
            _ => format!("the {noun}s are numbered 1 to {has}"),
        };
        out.push(told.way("", format!("{there}; if there are more, say so as `{line}`"), edits).help(there));
    }
}
