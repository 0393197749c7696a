//! A layer that comes back: it was mixed in, a scene on the way here overrode it, and now it is mixed in again and
//! undoes that.
//!
//! # On stage
//! What was taken out on purpose one scene earlier is back, and nobody wrote it down.
//!
//! # Way out
//! Leave the layer out if its other statements are inherited anyway, or say again what shall win.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! layer wide { engage ember }
//! scene bed with wide
//! scene calm from bed { bypass ember }
//! scene solo from calm with wide
//! song "Quay" { verse: bed; bridge: calm; end: solo }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1; outputs 1 }
//! amp combo { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
//! layer hot { combo.channel lead }
//! scene bed with hot
//! scene calm from bed { combo.channel clean }
//! scene solo from calm with hot
//! song "Quay" { verse: bed; bridge: calm; end: solo }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! layer wide { engage ember }
//! scene bed { mute }
//! scene solo with wide
//! song "Quay" { verse: bed; end: solo }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.hints() {
        let Fault::LayerReturns { scene, layer, by, saying, .. } = fault else { continue };
        let (name, wide, above) = (facts.scene(*scene), facts.layer(*layer), facts.scene(*by));
        let layers = facts.book.show.scene(*scene).map_or(&[][..], |s| facts.book.show.layers_of(s));
        let at = layers.iter().find(|(l, _)| l == layer).map_or(facts.scene_at(*scene), |(_, at)| *at);
        let wanted = facts.said(*saying);
        out.push(
            Diagnostic::new(at, format!("`{name}` mixes in `{wide}` again, which undoes that `{above}` wants {wanted}"))
                .label("mixed in again here")
                .other(facts.said_at(*saying), format!("`{above}` overrode `{wide}` here"))
                .way("", format!("leave `{wide}` out of `{name}`"), facts.take_out(at))
                .way(
                    "",
                    format!("say `{}` in `{name}` too", facts.statement(*saying)),
                    facts.in_scene(*scene, &facts.statement(*saying), &facts.settled_by(*saying)),
                )
                .help(format!("decide what `{name}` wants, and say it there")),
        );
    }
}
