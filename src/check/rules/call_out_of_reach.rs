//! A part that is called from outside, whose preset no program reaches.
//!
//! # On stage
//! There are 128 programs. What stands behind the 128th preset cannot be called by a program alone: the computer has none to
//! send, and the foot must press.
//!
//! # Way out
//! Put the scene on a switch that a program reaches. Where the unit answers to banks too, say how many programs lie in each:
//! `answers midi 1 programs from 1, banks of 128`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..40, switches 1..4; answers midi 1 programs from 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! slots { 33.1 bed }
//! ```
//! ```scene
//! switcher { loops 1; banks 0..25, switches A..E; answers midi 3 programs from 0 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm {}
//! song "Quay" { bed; lift: calm, called from outside }
//! slots { 25C bed; 25D calm; 25E calm }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..40, switches 1..4; answers midi 1 programs from 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! slots { 32.4 bed; 33.1 bed }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..40, switches 1..4; answers midi 1 programs from 1, banks of 128 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { called from outside; bed }
//! slots { 33.1 bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Slot;
use crate::fill::Places;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    let Some((answers, range)) = board.switcher.as_ref().and_then(|s| s.answers.zip(s.slots)) else { return };
    let places = Places::of(facts.book, facts.presets);
    for song in facts.book.show.songs_by_name() {
        let called = song.parts.iter().filter_map(|part| part.besides().called.and_then(|_| Some((part, places.first(part.scene?)?))));
        // The first that is in no program's reach: it has no other place that is.
        let mut far = called.filter(|(part, _)| {
            part.scene.is_some_and(|scene| places.all(scene).iter().all(|(_, slot)| board.call(*slot).is_none()))
        });
        let Some((part, slot)) = far.next() else { continue };
        // A program calls what the switch calls first, and presses nothing there.
        let inside = slot != Slot::at(slot.bank, slot.switch);
        let (title, slot) = (&song.title, range.show(slot));
        let more = match far.count() {
            0 => String::new(),
            1 => ", as is 1 part more".to_owned(),
            n => format!(", as are {n} parts more"),
        };
        let message =
            format!("`{}` of \"{title}\" is called from outside, and no program reaches {slot}{more}", part.label);
        let (reach, help) = match inside {
            true => (
                "a program calls what a switch calls first, and presses nothing inside a preset".to_owned(),
                "say `by foot` at this part, or give it a preset of its own",
            ),
            false => (
                format!("only the first {} presets are within reach of a program", answers.reach()),
                "put its scene on an earlier switch, or say how many programs lie in a bank, where the unit answers to banks",
            ),
        };
        let scene = facts.book.show.base(part.scene.unwrap_or_default());
        out.push(Diagnostic::new(part.at, message).other(answers.at, reach).about(facts.scene(scene)).help(help));
    }
}
