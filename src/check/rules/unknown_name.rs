//! A name that nothing in the book has.
//!
//! # On stage
//! The scene that was meant stays unbuilt, and the switch under the foot does something else.
//!
//! # Way out
//! Mend the spelling, or describe what is named.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage embr }
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! scene bed { mute }
//! song "Quay" { verse: bedd; end: bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { all: bed }
//! ```

use crate::check::{Diagnostic, Facts, How, Severity};
use crate::book::Fault;
use crate::syntax::lexer::unquoted;
use crate::syntax::registry;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let (taken, board_lost) = (facts.taken(), facts.board_lost());
    let lost = |wanted: &str| board_lost || wanted.split([' ', ',']).any(|word| taken.contains(word));
    for fault in facts.binding {
        match fault {
            // The name that it should be may be the one that is taken, or stand in what could not be read.
            Fault::UnknownName { wanted, near: None, .. } if lost(wanted) => {}
            Fault::UnknownName { at, wanted, near } => {
                let name = unquoted(facts.text(*at));
                let quote = if facts.text(*at) == name { "" } else { "\"" };
                let told = Diagnostic::new(*at, format!("there is no {wanted} called `{name}`"));
                if near.is_none() && registry::reserved(name) {
                    let before = facts.files.get(at.file).and_then(|f| f.text.get(..at.start as usize)).unwrap_or("");
                    let parts = if before.trim_end().ends_with(',') { ": `;` or a new line begins something new" } else { "" };
                    out.push(told.help(format!("`{name}` is no name but a word of the language{parts}")));
                    continue;
                }
                out.push(match near {
                    Some(near) if renamed(facts, near, name) => told
                        .help(format!("`{near}` had that name on the last tour"))
                        .fix(How::Renamed, format!("say `{near}`"), *at, near),
                    Some(near) => told.help(format!("did you mean `{near}`?")).fix(
                        How::Name,
                        format!("say `{near}`"),
                        *at,
                        format!("{quote}{near}{quote}"),
                    ),
                    None if *wanted == crate::book::electric::A_LEG => told.help(
                        "a leg is described with its device, as `leg wet gain -6 dB`; between two things of a chain stands `->`",
                    ),
                    // "pedal or amp" is no word of the language.
                    None if wanted.contains(' ') => told.help("describe it, or name one that the book has"),
                    None => {
                        let line = format!("{wanted} {name}");
                        let says = format!("describe it with `{line}`");
                        told.way("", says, facts.at_end(*at, &line))
                            .besides("name one that the book has")
                            .help(format!("describe the {wanted} and what it needs, or name one that the book has"))
                    }
                });
            }
            Fault::OtherKind { at, wanted, is, there } => {
                let name = facts.text(*at);
                out.push(
                    Diagnostic::new(*at, format!("`{name}` is {is}, and a {wanted} is wanted here"))
                        .other(*there, format!("`{name}` is described here"))
                        .help(format!("name a {wanted}")),
                );
            }
            _ => {}
        }
    }
}

/// True when a scene had another name on the last tour.
fn renamed(facts: &Facts<'_>, scene: &str, old: &str) -> bool {
    facts.book.show.scenes.iter().any(|s| &*s.name == scene && s.was.end > s.was.start && facts.text(s.was) == old)
}
