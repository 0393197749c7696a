//! Two layers mixed into one scene that want two things of one cell. Layers have no order: neither wins.
//!
//! # On stage
//! The switcher stores one value. Whichever it is, one of the two layers is not heard as it was meant.
//!
//! # Way out
//! SayingRange in one of the two, or let the scene itself say which it wants: its own statements win over its layers.
//!
//! # Fires
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! layer wide { engage ember }
//! layer thin { bypass ember }
//! scene bed with wide, thin
//! song "Quay" { all: bed }
//! ```
//! ```scene
//! switcher { loops 1; remote jacks 1; outputs 1 }
//! amp combo { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
//! layer wide { combo.channel clean }
//! layer hot { combo.channel lead }
//! scene solo with wide, hot
//! song "Quay" { all: solo }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; remote jacks 1; outputs 1 }
//! amp combo { fed by output 1; control channel on remote 1 tip { clean: open; lead: closed } }
//! layer wide { combo.channel clean }
//! layer hot { combo.channel lead }
//! scene solo with wide, hot { combo.channel lead }
//! song "Quay" { all: solo }
//! ```

use crate::ids::{LayerId, SayingId, SceneId};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Fault;
use crate::source::Span;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for fault in facts.settling {
        let Fault::LayersDisagree { scene, first, second, cell } = fault else { continue };
        let ((wide, _), (hot, at)) = (mixed(facts, *scene, *first), mixed(facts, *scene, *second));
        let name = facts.scene(*scene);
        let (one, two) = facts.clash(*first, *second);
        let mut told =
            Diagnostic::new(at, format!("`{name}` mixes `{wide}`, which wants {one}, and `{hot}`, which wants {two}"))
                .label(format!("mixed into `{name}` here"))
                .other(facts.said_at(*first), facts.puts(*first, *cell))
                .other(facts.said_at(*second), facts.puts(*second, *cell))
                .help(format!("decide which of the two `{name}` wants, and say it there"));
        for saying in [*first, *second] {
            let say = facts.statement(saying);
            let edits = facts.in_scene(*scene, &say, &facts.settled_by(saying));
            told = told.way(&format!("in `{name}`"), format!("say `{say}`"), edits);
        }
        let place = |layer: &str| layers(facts, *scene).find(|(id, _)| facts.layer(*id) == layer).map(|(_, at)| at);
        for layer in [wide, hot] {
            told = told.way("", format!("leave `{layer}` out"), place(layer).and_then(|at| facts.take_out(at)));
        }
        out.push(told);
    }
}

/// The layer of a scene that holds a statement, and where the scene names it.
fn mixed<'f>(facts: &Facts<'f>, scene: SceneId, saying: SayingId) -> (&'f str, Span) {
    let holds = |id: LayerId| {
        facts.book.show.layers.get(id).is_some_and(|l| l.own.holds(saying))
    };
    let found = layers(facts, scene).find(|(id, _)| holds(*id));
    found.map_or(("", facts.scene_at(scene)), |(id, at)| (facts.layer(id), at))
}

fn layers<'f>(facts: &Facts<'f>, scene: SceneId) -> impl Iterator<Item = (LayerId, Span)> {
    let layers = facts.book.show.scene(scene).map_or(&[][..], |s| facts.book.show.layers_of(s));
    layers.iter().copied()
}
