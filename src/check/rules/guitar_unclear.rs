//! A guitar of which nobody can tell when it is heard: the switcher has several guitar inputs, and it says none; or a scene
//! asks for a guitar that nothing chooses, or that more than one thing chooses.
//!
//! # On stage
//! The player strikes the strings, and nothing comes.
//!
//! # Way out
//! Say in the guitar what it is plugged into, `on guitar input 2`, or what lets it through, `heard when chooser.side left`.
//! Where more than one thing chooses it, a scene says the one that is meant.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch
//! scene bed { hear slab }
//! song "Quay" on slab { bed }
//! ```
//! ```scene
//! switcher { loops 1 }
//! guitar slab
//! scene bed { hear slab }
//! song "Quay" on slab { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal chooser { always on; control side on remote 1 { left: tip closed, ring open; right: tip open, ring closed; both: tip closed, ring closed } }
//! guitar slab { heard when chooser.side left; heard when chooser.side both }
//! guitar arch { heard when chooser.side right; heard when chooser.side both }
//! scene bed { hear slab }
//! song "Quay" on slab { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch { on guitar input 2 }
//! scene bed { hear slab }
//! song "Quay" on slab { bed }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let board = &facts.book.board;
    let inputs = board.switcher.as_ref().filter(|s| s.guitar_inputs > 1);
    for guitar in board.guitars.iter().filter(|g| inputs.is_some() && g.input.is_none() && g.when.is_empty() && !g.faulty) {
        let Some(switcher) = inputs else { continue };
        let name = &guitar.name;
        let message = format!("nobody says which guitar input `{name}` is plugged into");
        let mut told = Diagnostic::new(guitar.at, message).other(switcher.at, format!("it has {}", switcher.guitar_inputs));
        // The inputs that no guitar is on yet.
        for input in (1..=switcher.guitar_inputs).filter(|n| board.on_input(*n).next().is_none()).take(2) {
            let say = format!("on guitar input {input}");
            told = told.way(&format!("in `{name}`"), format!("say `{say}`"), facts.in_guitar(guitar.at, &say));
        }
        out.push(told.help(format!("say `on guitar input N` in `{name}`, or what lets it through: `heard when DEVICE.CONTROL STATE`")));
    }
    for fault in facts.binding {
        let Fault::GuitarUnclear { at, guitar, several, there } = fault else { continue };
        if several.is_empty() && inputs.is_some() {
            continue;
        }
        let told = match several.as_slice() {
            [] => Diagnostic::new(*at, format!("nothing chooses whether `{guitar}` is heard"))
                .way("", "take it out: whoever plays it plugs it in", facts.take_out(*at))
                .help(format!("say in `{guitar}` what it is plugged into, or what lets it through")),
            several => {
                let ways: Vec<String> = several.iter().map(|way| format!("`{way}`")).collect();
                let all = say::joined(&ways, "and");
                Diagnostic::new(*at, format!("more than one thing decides whether `{guitar}` is heard: {all}"))
                    .help("say the one that is meant, or each of them")
            }
        };
        out.push(told.other(*there, format!("`{guitar}` is described here")));
    }
}
