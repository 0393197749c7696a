//! A scene that does not say which guitar is heard, on a switcher that chooses between guitar inputs.
//!
//! # On stage
//! The preset hears the guitar that stands in its rack.
//!
//! # Way out
//! Say it in the scene, or once for all scenes in `default`: `hear slab`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch { on guitar input 2 }
//! scene bed { hear slab }
//! scene lift { engage loop 1 }
//! pedal ember { loop 1 }
//! song "Quay" on slab { bed; lift }
//! ```
//! ```scene
//! switcher { loops 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch { on guitar input 2 }
//! scene bed { }
//! song "Quay" on slab { bed }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; guitar inputs 2 }
//! guitar slab { on guitar input 1 }
//! guitar arch { on guitar input 2 }
//! default { hear slab }
//! scene bed { }
//! scene lift { hear arch }
//! song "Quay" on slab { bed; lift, on arch }
//! ```

use crate::ids::{ColumnId, SceneId};
use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many scenes are changed in one offer, and so many guitars are offered.
const MOST_CHANGED: usize = 40;
const MOST_OFFERED: usize = 3;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let unsaid = facts.settling.iter().filter_map(|f| if let Fault::GuitarUnsettled { scene } = f { Some(*scene) } else { None });
    let mut scenes: Vec<SceneId> = unsaid.collect();
    scenes.sort_by_key(|scene| facts.scene_at(*scene));
    let Some(first) = scenes.first().copied() else { return };
    let names = facts.few_scenes(&scenes);
    let does = if scenes.len() == 1 { "says" } else { "say" };
    let mut told = Diagnostic::new(facts.scene_at(first), format!("{names} {does} nothing of which guitar is heard"));
    if let Some(switcher) = &facts.book.board.switcher {
        told = told.other(switcher.at, format!("it has {} guitar inputs", switcher.guitar_inputs));
    }
    let place = if scenes.len() == 1 { format!("in {names}") } else { "in each of them".to_owned() };
    let cell: Vec<ColumnId> = facts.table.cells.guitar_cell().into_iter().collect();
    let guitars = facts.book.board.guitars.iter().filter(|g| g.input.is_some() && g.when.is_empty());
    let says: Vec<String> = guitars.take(MOST_OFFERED).map(|g| format!("hear {}", g.name)).collect();
    for say in &says {
        let few = scenes.iter().filter(|_| scenes.len() <= MOST_CHANGED);
        let edits = few.map(|scene| facts.in_scene(*scene, say, &cell)).collect::<Option<Vec<_>>>();
        told = told.way(&place, format!("say `{say}`"), edits.map(|e| e.concat()).filter(|e| !e.is_empty()));
    }
    for say in &says {
        told = told.way("in `default`", format!("say `{say}`"), facts.in_default(say));
    }
    out.push(told.help(format!("decide which guitar is heard, and say it {place}, or in `default`")));
}
