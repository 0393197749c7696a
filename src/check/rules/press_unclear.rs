//! What is asked of a preset's own switches or of its second row, and the unit cannot do.
//!
//! # On stage
//! The foot comes down on the switch in the middle of the song, and nothing moves, or the wrong thing does.
//!
//! # Way out
//! Say in `switcher` what the unit can do: `inside: switches 6..7, toggles 2, holds 1, rows 2`. A switch moves one thing
//! between two states: a pedal, a control, a contact or an output. What only pulses move cannot be toggled: store two
//! presets instead. A scene in the second row stands nowhere else.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { switch 6 toggles ember }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 2; banks 1..1, switches 1..2; inside: switches 6..7, toggles 1 }
//! pedal ember { loop 1 }
//! pedal moth { loop 2 }
//! default { switch 6 toggles ember }
//! scene bed { switch 7 toggles moth }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1; banks 1..1, switches 1..2; inside: switches 6..7, toggles 2 }
//! pedal ember { loop 1; control way on remote 1 tip momentary { low; high } starts low }
//! scene bed { engage ember; ember.way low; switch 6 toggles ember.way }
//! song "Quay" { bed }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2; inside: switches 6..7, toggles 1 }
//! pedal ember { loop 1 }
//! scene bed { switch 6 toggles ember }
//! song "Quay" { verse: bed; "loud": bed, press 7 }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2; inside: rows 2 }
//! pedal ember { loop 1 }
//! scene bed { again loud }
//! scene loud { engage ember; again bed }
//! song "Quay" { verse: bed; end: loud }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2; inside: switches 6..7, toggles 1, rows 2 }
//! pedal ember { loop 1 }
//! scene bed { switch 6 toggles ember; again loud }
//! scene loud { engage ember }
//! song "Quay" { verse: bed; "loud": bed, press 6; end: loud }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;
use crate::book::fault::NotInside;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::Inside { at, why, there } = fault else { continue };
        let (says, help, other) = words(why);
        let mut told = Diagnostic::new(*at, says).help(help);
        if let Some(there) = there {
            told = told.other(*there, other);
        }
        out.push(told);
    }
}

/// What is wrong, the way out, and what stands at the other place.
fn words(why: &NotInside) -> (String, String, &'static str) {
    let said = |says: &str, help: &str, other| (says.to_owned(), help.to_owned(), other);
    match why {
        NotInside::Unsaid("rows") => said(
            "nobody says that a switch of this unit calls a second row",
            "if it does, say it in `switcher`: `inside: rows 2`; else leave `again` out, and the scene has a preset of its own",
            "what the unit can do is said here",
        ),
        NotInside::Unsaid(_) => said(
            "nobody says that a preset of this unit has switches of its own",
            "if it has, say it in `switcher`: `inside: switches 6..7, toggles 2`, with their own names",
            "what the unit can do is said here",
        ),
        NotInside::NoSwitch(range) => (
            "no switch of that name works inside a preset".to_owned(),
            format!("those that do are {range}"),
            "they are said here",
        ),
        NotInside::CallsPresets(name) => (
            format!("switch {name} calls a preset of its bank, and cannot work inside one too"),
            "name the switches that are left over, as `inside: switches 6..7`".to_owned(),
            "",
        ),
        NotInside::Most { word, most } => (
            format!("one more switch that {word}: the unit does {most} in a preset"),
            "leave this one out, or say in `switcher` that the unit does more".to_owned(),
            "so many are said here",
        ),
        NotInside::MostOf { scene, word, most } => (
            format!("in `{scene}` one more switch {word}: the unit does {most} in a preset"),
            "say in the scene which switch `does nothing`: what a layer, the scene before `from` and `default` say counts too"
                .to_owned(),
            "so many are said here",
        ),
        NotInside::Level => said(
            "a level has no two settings that a switch could change between",
            "let a foot move it, or store two presets",
            "it is a level here",
        ),
        NotInside::ByHand => said(
            "only a hand or a foot on the device moves this, no switch of the unit",
            "write it as a note of the part: `hand \"…\"`",
            "it is worked by hand or foot here",
        ),
        NotInside::AlwaysOn => said(
            "it sounds always: there is nothing to switch",
            "take `always on` out if it stands in a loop, or toggle another thing",
            "",
        ),
        NotInside::OfHelper => said(
            "it sits in a loop of a helper, which presets call: no switch inside a preset does",
            "store two presets, one with it and one without",
            "",
        ),
        NotInside::States(has) => (
            "nobody says which setting the switch brings".to_owned(),
            format!("name it behind the control: {}", listed(has)),
            "its settings are these",
        ),
        NotInside::Pulses => said(
            "pulses move this, and a pulse does not say where it ends: a switch inside a preset cannot bring it there and back",
            "store two presets, one for each setting",
            "it is moved by pulses here",
        ),
        NotInside::OfAScene => said(
            "a second row stands behind one scene",
            "say `again` in that scene, not in a layer or in `default`",
            "",
        ),
        NotInside::Itself => said(
            "the scene would be its own second row",
            "name another scene, or leave this line out",
            "",
        ),
        NotInside::Third => said(
            "a preset's switch calls two scenes in turn, and this would be a third",
            "leave one of the two `again` out, or give that scene a preset of its own",
            "the second row has a second one here",
        ),
        NotInside::Shared => said(
            "this scene is the second row of another scene already",
            "make another scene for this row, as `scene NAME from` that one",
            "it is called here too",
        ),
        NotInside::Pinned => said(
            "`slots` gives this scene a place of its own, and a second row stands nowhere else",
            "leave out that place or this line, or make another scene for the second row",
            "its place is said here",
        ),
        NotInside::PressedTwice => {
            said("this part presses one switch twice", "say it once: the sheet shows each press", "")
        }
        NotInside::Held => said(
            "this switch acts only as long as the foot stays on it: no part can be played so",
            "write it as a note, `note \"hold it in the last bar\"`, or let the switch toggle",
            "it holds here",
        ),
        NotInside::Idle(scene) => (
            format!("this switch toggles nothing in `{scene}`"),
            format!("say in `{scene}` what it toggles, or leave the press out"),
            "the scene is here",
        ),
        NotInside::Same { scene } => (
            format!("two switches move the same thing in `{scene}`"),
            "leave one of them out".to_owned(),
            "the other one is said here",
        ),
        NotInside::Already { scene } => (
            format!("`{scene}` has what this switch brings already"),
            "name the other setting, or say `does nothing` for that switch in the scene".to_owned(),
            "the scene is here",
        ),
        NotInside::StartUnknown { scene } => (
            format!("nobody knows how this stands when `{scene}` is called, so nobody knows what the switch brings"),
            format!("say in `{scene}` how it starts"),
            "the scene is here",
        ),
        NotInside::TooMany(most) => (
            format!("there are more than {most} combinations of scenes and pressed switches"),
            "say the switches only where they are used, not in `default`".to_owned(),
            "from this scene on none is looked at",
        ),
    }
}

fn listed(names: &[String]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
