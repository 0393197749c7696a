//! A way out for a part that fails which leads nowhere: the scene instead goes through the same part, is the same scene, or
//! stands in no slot.
//!
//! # On stage
//! The pedal is dead, the player presses what the sheet says, and hears nothing again.
//!
//! # Way out
//! Name a scene without the part that fails, and give it a slot.
//!
//! # Fires
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! scene bed { engage ember }
//! scene solo from bed { engage grit }
//! song "Quay" { bed; solo }
//! if ember fails, solo becomes bed
//! ```
//! ```scene
//! switcher { loops 1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! song "Quay" { bed }
//! if ember fails, bed becomes bed
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { }
//! song "Quay" { bed }
//! slots { 1.1 bed }
//! if ember fails, bed becomes calm
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 2 }
//! pedal ember { loop 1 }
//! pedal grit { loop 2 }
//! scene bed { engage grit }
//! scene solo from bed { engage ember }
//! song "Quay" { bed; solo }
//! if ember fails, solo becomes bed
//! ```

use crate::ids::{DeviceId, SceneId};
use crate::book::{Device, DeviceKind};
use crate::check::edits::Step;
use crate::check::{Diagnostic, Facts, Severity, slotless};
use crate::settle::{Answer, Row};

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let book = facts.book;
    let mut slotless = slotless::scenes(facts);
    // A played scene in no slot is told as that.
    if let Some(slotless) = &mut slotless {
        let played = [false, true].map(|alone| slotless::played(facts, alone));
        played.iter().flatten().for_each(|(scene, _)| slotless.remove(scene.index()));
    }
    for fallback in &book.show.fallbacks {
        let (Some(number), Some(scene), Some(instead)) = (fallback.device, fallback.scene, fallback.becomes) else {
            continue;
        };
        let Some(device) = book.board.devices.get(number).filter(|d| !d.faulty) else { continue };
        if book.show.scene(instead).is_none_or(|s| s.faulty) {
            continue;
        }
        let (part, name) = (&device.name, facts.scene(instead));
        let told = if scene == instead {
            Diagnostic::new(fallback.at, format!("`{name}` is no way out of itself"))
                .help(format!("name a scene without `{part}`"))
        } else if through(facts, number, device, instead) == Answer::Yes {
            let told = Diagnostic::new(fallback.at, format!("`{name}` goes through `{part}` too, which has failed"));
            let told = match facts.engaged_by(instead, device) {
                Some(saying) => told.other(facts.said_at(saying), format!("`{name}` engages it by this")),
                None => told.other(facts.scene_at(instead), format!("`{name}` is described here")),
            };
            let cells = facts.table.cells.engages(number).map(|(cell, _)| vec![cell]);
            let step = cells.map(|cells| Step { say: format!("bypass {part}"), cells, out: true });
            let edits = step.and_then(|step| facts.steps_in_scene(instead, &[step]));
            told.besides(format!("name a scene without `{part}`"))
                .way("", format!("take `{part}` out of `{name}`"), edits)
                .help(format!("decide which scene without `{part}` it becomes"))
        } else if slotless.as_ref().is_some_and(|s| s.contains(instead.index())) {
            let told = Diagnostic::new(fallback.at, format!("`{name}` stands on no switch, so nobody can press it"))
                .other(facts.scene_at(instead), format!("`{name}` is described here"));
            slotless::way_out(facts, told, instead)
        } else {
            continue;
        };
        out.push(told);
    }
}

/// Whether a preset leads the signal through a device. What stands in no loop is in every path, and is bridged by hand
/// when it fails.
fn through(facts: &Facts<'_>, number: DeviceId, device: &Device, scene: SceneId) -> Answer {
    let row = Row::of(facts.book, facts.table, scene);
    match device.kind {
        DeviceKind::Amp if device.fed_by.is_some() => row.fed(number),
        _ if device.loop_at.is_some() || device.engaged_by.is_some() => row.sounds(number),
        _ => Answer::No,
    }
}
