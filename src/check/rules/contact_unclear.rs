//! A state of a control that does not say plainly what a preset stores for it.
//!
//! # On stage
//! The preset would open or close a contact that nobody chose.
//!
//! # Way out
//! Say each contact by its side, as `tip closed, ring open`, or the program that is sent. A control latches or pulses as a
//! whole: a latch is put where it belongs, a pulse moves on from wherever it is, and of both together no preset could say
//! where they end. What latches and what pulses are two controls, on one jack too: one on its tip, one on its ring.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 { round: closed; sharp: tip open } }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round; sharp: closed } }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal throb { loop 1; control wave on midi 3 programs from 1 { even: program 12; lopsided } }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 tip { round: ring closed; sharp: open } }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 momentary { round: tip closed; sharp: ring closed } starts round }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1 }
//! pedal sift { loop 1; control voice on remote 1 { round: tip closed; sharp: ring closed } }
//! ```

use crate::check::{Diagnostic, Facts, Severity, say};
use crate::book::Fault;
use crate::book::fault::Unclear;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::ContactUnclear { at, control, why, has } = fault else { continue };
        let text = facts.text(*at);
        let moves = say::some(has, "and");
        let (message, help) = match why {
            Unclear::NothingSaid => (
                format!("`{text}` of `{control}` says nothing of its contacts"),
                format!("say each contact behind a colon, as `{text}: {}`", example(has)),
            ),
            Unclear::Pulsed => (
                format!("`{text}` would hold a contact, and `{control}` is sent pulses"),
                format!(
                    "all contacts of `{control}` pulse at once, each time to its next setting: name the settings alone, \
                     in their order, or give each contact a `control` of its own"
                ),
            ),
            Unclear::NotItsOwn => {
                (format!("`{text}` is about a contact that `{control}` does not move"), format!("it moves {moves}"))
            }
            Unclear::Several => (
                format!("`{text}` does not say which contact of `{control}` it means"),
                format!("it moves {moves}: say `{}`", example(has)),
            ),
            Unclear::Twice => {
                (format!("`{text}` tells a contact of `{control}` twice"), "take one of the two out".to_owned())
            }
            Unclear::NoProgram => (
                format!("`{text}` of `{control}` names no program"),
                format!("say the program that is sent, as `{text}: program 12`"),
            ),
            Unclear::NoValue => (
                format!("the state `{text}` of `{control}` names no value"),
                format!("say the value that is sent, from 0 to 127, as `{text}: value 127`"),
            ),
            Unclear::NoMessage => (
                format!("`{text}` of `{control}` sends nothing"),
                format!("say what is sent, as `{text}: note 60 at 100` or `{text}: cc 20 value 127`"),
            ),
            Unclear::NotMoved => (
                format!("`{control}` is moved by the foot: no preset does `{text}`"),
                "name the setting alone, without what follows its colon".to_owned(),
            ),
        };
        out.push(Diagnostic::new(*at, message).help(help));
    }
}

/// All contacts of a control said plainly: `tip closed, ring open`.
fn example(has: &[String]) -> String {
    let jack = |c: &String| c.rsplit_once(' ').map(|(jack, _)| jack.to_owned());
    let one_jack = has.iter().all(|c| jack(c) == has.first().and_then(jack));
    let short = |c: &String| {
        let c = c.trim_start_matches("remote ");
        if one_jack { c.rsplit(' ').next().unwrap_or(c).to_owned() } else { c.to_owned() }
    };
    let said = has.iter().enumerate().map(|(i, c)| format!("{} {}", short(c), if i == 0 { "closed" } else { "open" }));
    said.collect::<Vec<_>>().join(", ")
}
