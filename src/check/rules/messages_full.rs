//! A preset that is to send more messages than the switcher holds.
//!
//! # On stage
//! The last ones are not there: a pedal stays on its old program, or the lights on the old picture.
//!
//! # Way out
//! Take a message out of the scene, let one message do the work of several, or leave one to a preset before.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; messages 1 a preset }
//! listener lamps { control look on midi 5 programs from 1 { blue: program 3 }; control haze on midi 5 cc 20 { on: value 127 } }
//! scene bed { lamps.look blue; lamps.haze on }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; messages 2 a preset, on leaving }
//! pedal gorge { loop 1; control memory on midi 2 programs from 1 { near: program 1; far: program 2 bank 2 } }
//! scene wash { engage gorge; gorge.memory near }
//! song "Quay" { wash }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; messages 2 a preset }
//! listener lamps { control look on midi 5 programs from 1 { blue: program 3 }; control haze on midi 5 cc 20 { on: value 127 } }
//! scene bed { lamps.look blue; lamps.haze on }
//! song "Quay" { bed }
//! ```

use crate::check::cells::count;
use crate::check::{say, Diagnostic, Facts, Severity};
use crate::settle::Row;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(most) = facts.book.board.switcher.as_ref().and_then(|s| s.messages.most) else { return };
    for (scene, id) in facts.book.show.scenes.numbered().filter(|(s, _)| !s.faulty && !s.repeated) {
        let sent = Row::of(facts.book, facts.table, id).bytes();
        let messages: usize = sent.iter().map(|s| s.messages.len()).sum();
        if messages <= usize::from(most.value) {
            continue;
        }
        let each = sent.iter().map(|s| {
            let control = facts.control(s.control.0, s.control.1).map_or("?", |c| &c.name);
            let name = format!("`{}.{control}`", facts.device(s.control.0));
            if s.messages.len() > 1 { format!("{} of {name}", s.messages.len()) } else { name }
        });
        let each: Vec<String> = each.collect();
        let message = format!("`{}` sends {}, and a preset holds {}", scene.name, count(u16::try_from(messages).unwrap_or(u16::MAX), "message"), most.value);
        out.push(
            Diagnostic::new(scene.at, message)
                .label(say::joined(&each, "and"))
                .other(most.at, "as said here")
                .about(scene.name.as_str())
                .help("take one of them out of the scene, or of what it derives from"),
        );
    }
}
