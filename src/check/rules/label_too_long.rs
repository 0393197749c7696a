//! A code of more than three letters, or two scenes whose names the switcher's display would show alike.
//!
//! # On stage
//! The label does not fit the loop; or two presets read alike under the foot, and the wrong one is pressed.
//!
//! # Way out
//! Take three letters for the code. Let names of scenes differ in the letters that the display can show.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1; code EMBR }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2; display 7 }
//! pedal ember { loop 1 }
//! scene refrain-one { engage ember }
//! scene refrain-two { mute }
//! song "Quay" { verse: refrain-one; end: refrain-two }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2; display 7 }
//! pedal ember { loop 1; code EMB }
//! scene one-refrain { engage ember }
//! scene two-refrain { mute }
//! song "Quay" { verse: one-refrain; end: two-refrain }
//! ```

use rustc_hash::FxHashMap;

use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.binding {
        let Fault::CodeLength { at } = fault else { continue };
        let code = facts.text(*at);
        let short: String = code.chars().take(3).collect();
        out.push(
            Diagnostic::new(*at, format!("a loop's label has three letters, and `{code}` has more"))
                .way("", format!("take three, as `{short}`"), Some(vec![(*at, short)]))
                .help("take three letters that no other label has"),
        );
    }
    if let Some(letters) = facts.book.board.switcher.as_ref().and_then(|s| s.display) {
        alike(facts, letters as usize, out);
    }
}

/// Scenes that the display shows alike. Only a name that is cut can read like another.
fn alike(facts: &Facts<'_>, letters: usize, out: &mut Vec<Diagnostic>) {
    let scenes = || facts.book.show.scenes.iter().filter(|s| !s.repeated);
    if scenes().all(|s| s.name.len() <= letters) {
        return;
    }
    let mut shown = FxHashMap::default();
    shown.reserve(facts.book.show.scenes.len());
    for scene in scenes() {
        let cut = shown_as(&scene.name, letters);
        let first = *shown.entry(cut).or_insert(scene);
        if first.at != scene.at {
            let (one, two) = (&first.name, &scene.name);
            out.push(
                Diagnostic::new(scene.at, format!("the display shows `{two}` and `{one}` alike, as `{cut}`"))
                    .label(format!("only {letters} letters are shown"))
                    .other(first.at, "like this one")
                    .help(format!("let the two names differ in their first {letters} letters")),
            );
        }
    }
}

/// The letters of a name that the display has room for.
fn shown_as(name: &str, letters: usize) -> &str {
    match name.char_indices().nth(letters) {
        Some((end, _)) => name.get(..end).unwrap_or(name),
        None => name,
    }
}
