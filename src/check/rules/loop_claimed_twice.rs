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

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let mut claimed = facts.binding.iter().filter_map(|fault| match fault {
        Fault::LoopClaimed { at, first, number } => Some((*at, *first, *number)),
        _ => None,
    });
    let Some(clash) = claimed.next() else { return };
    let loops = facts.book.board.switcher.as_ref().map_or(0, |s| s.own_loops);
    let help = match (1..=loops).find(|n| facts.book.board.in_loop(*n).is_none()) {
        Some(free) => format!("loop {free} has nothing in it"),
        None => "every loop is taken: leave one of the two out, or say `always on`".to_owned(),
    };
    let name = |at| facts.device_at(at).map_or("", |d| d.name.as_str());
    for (at, first, number) in std::iter::once(clash).chain(claimed) {
        let (one, two) = (name(first), name(at));
        out.push(
            Diagnostic::new(at, format!("`{two}` is put in {}, where `{one}` sits", facts.book.board.loop_says(number)))
                .label("taken")
                .other(first, format!("`{one}` is put there here"))
                .help(help.clone()),
        );
    }
}
