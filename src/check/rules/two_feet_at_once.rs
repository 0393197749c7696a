//! A change in the middle of a song that wants both feet at one moment.
//!
//! # On stage
//! One foot is on a treadle that the next scene goes on using, or has to work the switch of a pedal, while the other
//! must press the preset. Nobody stands on no foot: one of the two comes late.
//!
//! # Way out
//! Let a preset do what the foot does (a remote jack instead of `by foot`), give the treadle a rest in one of the two
//! scenes, or say that it is meant: `allow two-feet-at-once A to B "sits at that point"`.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 1 of 128 steps }
//! pedal tide { loop 1; place top; level depth on expression 1 from 0 % to 60 % }
//! pedal mill { always on; place top; control speed by foot { slow; fast } }
//! treadle left feeds expression 1
//! default { mill.speed slow; tide.depth 20 % }
//! scene swell { engage tide; tide.depth foot from heel }
//! scene swirl from swell { mill.speed fast; tide.depth foot }
//! song "Quay" { swell; swirl }
//! ```
//! ```scene
//! pedal mill { always on; place top; control speed by foot { slow; fast } }
//! scene calm { mill.speed slow }
//! scene storm { mill.speed fast }
//! song "Quay" { calm; storm }
//! ```
//!
//! # Silent
//! ```scene
//! pedal mill { always on; place top; control speed by foot { slow; fast } }
//! scene calm { mill.speed slow }
//! scene storm { mill.speed fast }
//! song "Quay" { calm }
//! song "Mole" { storm }
//! set "one" { "Quay"; "Mole" }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Value;
use crate::study::walk::Manual;

pub(super) const SEVERITY: Severity = Severity::Warning;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    for change in facts.changes().filter(|c| c.inside && c.feet > 1) {
        let Some(from) = change.from else { continue };
        let mut wants = vec!["the scene's switch".to_owned()];
        for manual in &change.manual {
            let Manual::Move { device, control, value: Value::State(_) } = manual else { continue };
            if facts.sounds(from.scene, *device) {
                let name = facts.control(*device, *control).map_or("", |c| &c.name);
                wants.push(format!("`{}` {name}", facts.device(*device)));
            }
        }
        let rest = change.feet as usize - wants.len().min(change.feet as usize);
        if rest > 0 {
            wants.push("the treadle that goes on".to_owned());
        }
        let (a, b) = (facts.scene(from.scene), facts.scene(change.to.scene));
        let count = if change.feet == 2 { "both feet".to_owned() } else { format!("{} feet", change.feet) };
        out.push(
            Diagnostic::new(facts.played(change.to.part).0, format!("from `{a}` to `{b}` wants {count} at once"))
                .label(crate::check::say::joined(&wants, "and"))
                .other(facts.played(from.part).0, format!("from `{a}`, in the same song"))
                .about(a)
                .about(b)
                .help("let the scene do one of them, or do it before or after"),
        );
    }
}
