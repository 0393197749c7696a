//! A bypass of a pedal that is `always on` in its loop.
//!
//! # On stage
//! The board says that it is never missing, the scene that it is. One of the two is heard, and somebody expects the other.
//!
//! # Way out
//! Take the bypass out, take `always on` out of the pedal's description, or say that it is meant:
//! `allow always-bypassed PEDAL "the one dry verse"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal gully { loop 1; always on }
//! scene bed { }
//! scene dry { bypass gully }
//! song "Quay" { bed; dry }
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal gully { loop 1; always on }
//! layer bare { bypass loop 1 }
//! scene bed { }
//! scene dry with bare
//! song "Quay" { bed; dry }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal gully { loop 1; always on }
//! pedal ember { loop 2 }
//! scene bed { engage ember }
//! scene dry from bed { bypass ember }
//! song "Quay" { bed; dry }
//! ```

use crate::book::{SayingRange, What};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Speaker;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    if !book.board.devices.iter().any(|d| d.always_on && d.loop_at.is_some()) {
        return;
    }
    let layers = book.show.layers.numbered().map(|(l, id)| (Speaker::Layer(id), l.own));
    let scenes = book.show.scenes.numbered().filter(|(s, _)| !s.repeated).map(|(s, id)| (Speaker::Scene(id), s.own));
    let speakers: Vec<(Speaker, SayingRange)> =
        std::iter::once((Speaker::Default, book.show.default)).chain(layers).chain(scenes).collect();
    for (who, mix) in speakers {
        for said in book.show.said(mix) {
            let What::Loop { number, on: false } = said.what else { continue };
            let Some(pedal) = book.board.in_loop(number).filter(|d| d.always_on) else { continue };
            let name = &pedal.name;
            let told = Diagnostic::new(said.at, format!("{} bypasses `{name}`, which is always on", facts.speaker(who)))
                .other(pedal.at, format!("`{name}` is described here, as `always on`"));
            let told = match who {
                Speaker::Scene(scene) => told.about(facts.scene(scene)),
                Speaker::Layer(layer) => told.about(facts.layer(layer)),
                Speaker::Default => told,
            };
            let allow = format!("say `allow always-bypassed {name} \"why\"`, if it is meant");
            out.push(told.about(name).way("", "take it out", facts.take_out(said.at)).besides(&allow).help(&allow));
        }
    }
}
