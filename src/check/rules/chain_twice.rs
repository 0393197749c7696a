//! A loop, a device or a jack that one chain passes twice.
//!
//! # On stage
//! A jack takes one plug. Whoever wires it by the list finds the second lead without a place, and guesses.
//!
//! # Way out
//! Take one of the two out of the chain.
//!
//! # Fires
//! ```scene
//! switcher { loops 3; outputs 1 }
//! guitar plank
//! pedal ember { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> loops 2..3 -> output 1
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//! ```scene
//! switcher { loops 1; outputs 1 }
//! guitar plank
//! pedal ember { loop 1 }
//! buffer wick
//! amp larch { fed by output 1 }
//! chain front: guitar -> wick -> loop 1 -> wick -> output 1
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 3; outputs 1 }
//! guitar plank
//! pedal ember { loop 2 }
//! amp larch { fed by output 1 }
//! chain front: guitar -> loops 1..2 -> output 1
//! chain effects: larch send -> loop 3 -> larch return
//! scene bed { engage ember }
//! song "Quay" on plank { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::study::route;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for (chain, along) in facts.book.board.chains.iter().zip(&facts.route().chains).filter(|(c, _)| !c.faulty) {
        let link = |number: usize| chain.links.get(number).map_or(chain.at, |l| l.at);
        // Once a chain: two stretches that overlap are one mistake.
        let Some((place, first, second)) = route::again(along) else { continue };
        let says = route::says(&facts.book.board, place);
        let told = Diagnostic::new(link(second), format!("`{}` comes through `{says}` a second time", chain.name));
        let told = if first == second { told } else { told.other(link(first), "the first time") };
        out.push(told.help("a jack takes one plug: take one of the two out"));
    }
}
