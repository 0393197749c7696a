//! `instead` before something that the book does not have.
//!
//! # On stage
//! The night's book means to change something, and changes nothing: what it names stays as it was, and the hired amplifier
//! is played with the presets of the other one.
//!
//! # Way out
//! Name what the book has, as it is written there; leave `instead` out where the thing is new tonight.
//!
//! # Fires
//! ```scene
//! use "base.scene"
//! instead scene beds { mute }
//! #--- base.scene
//! switcher { loops 1; outputs 1 }
//! scene bed { output 1 on }
//! song "Quay" { bed }
//! ```
//! ```scene
//! use "base.scene"
//! instead use "boards.scene" by "fly.scene"
//! #--- base.scene
//! use "board.scene"
//! scene bed { output 1 on }
//! song "Quay" { bed }
//! #--- board.scene
//! switcher { loops 1; outputs 1 }
//! ```
//!
//! # Silent
//! ```scene
//! use "base.scene"
//! instead scene bed from bed { mute }
//! #--- base.scene
//! switcher { loops 1; outputs 1 }
//! scene bed { output 1 on }
//! song "Quay" { bed }
//! ```

use crate::book;
use crate::check::{Diagnostic, Facts, How, Severity};
use crate::source::load;
use crate::syntax::lexer::unquoted;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let book::Fault::NothingReplaced { at, word, name, near } = fault else { continue };
        let what = if name.is_empty() { format!("no `{word}`") } else { format!("no {word} called `{name}`") };
        let told = Diagnostic::new(*at, format!("the book has {what}, so nothing is replaced"));
        out.push(match near {
            Some(near) => {
                let quote = if facts.text(*at).starts_with('"') { "\"" } else { "" };
                let fix = format!("{quote}{near}{quote}");
                told.help(format!("did you mean `{near}`?")).fix(How::Offer, format!("say `{near}`"), *at, fix)
            }
            None => told.help("name what the book has; leave `instead` out for what is new tonight"),
        });
    }
    for fault in facts.loading {
        let load::Fault::NotUsed { at, used } = fault else { continue };
        let says = unquoted(facts.text(*at));
        let told = Diagnostic::new(*at, format!("nothing of the book uses `{says}`, so nothing is replaced"));
        let all: Vec<String> = used.iter().map(|file| format!("`{file}`")).collect();
        out.push(told.help(match all.as_slice() {
            [] => "name what the night's book uses first: `use \"base.scene\"`".to_owned(),
            all => format!("name a file as the book says it: {}", all.join(", ")),
        }));
    }
}
