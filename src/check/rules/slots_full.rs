//! More scenes than slots.
//!
//! # On stage
//! The last song parts have no switch to press.
//!
//! # Way out
//! Take a scene out, say fewer slots twice, or leave `others auto` out so that only pinned scenes are stored.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..1 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! ```
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! slots { 1.1 calm; 1.2 calm; others auto }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; banks 1..1, switches 1..2 }
//! pedal ember { loop 1 }
//! scene bed { engage ember }
//! scene calm { mute }
//! song "Quay" { verse: bed; end: calm }
//! ```

use crate::ids::SceneId;
use crate::check::{Diagnostic, Facts, Severity};
use crate::book::Fault;

pub(super) const SEVERITY: Severity = Severity::Error;

/// So many names are told; the rest are counted.
const TOLD: usize = 5;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(Fault::SlotsFull { at, left_out, slots }) = facts.slots else { return };
    let mut names: Vec<String> = left_out.iter().take(TOLD).map(|n| format!("`{n}`")).collect();
    if left_out.len() > TOLD {
        names.push(format!("{} more", left_out.len() - TOLD));
    }
    let has = if *slots == 1 { "is 1 switch".to_owned() } else { format!("are {slots} switches") };
    let told = Diagnostic::new(*at, format!("there {has}, and no room is left for {}", crate::check::say::joined(&names, "and")));
    let told = match &facts.book.board.switcher {
        Some(switcher) => told.other(switcher.at, "the banks and switches are said here"),
        None => told,
    };
    let mut held: Vec<SceneId> = facts.book.show.pins.iter().map(|(_, scene, _)| *scene).collect();
    held.sort_unstable();
    let most = held.chunk_by(|a, b| a == b).max_by_key(|same| same.len()).filter(|same| same.len() > 1);
    if let Some([scene, ..]) = most {
        let (name, count) = (facts.scene(*scene), most.map_or(0, <[SceneId]>::len));
        out.push(told.help(format!("`{name}` alone has {count} of them: give some up, or take out a scene that nothing plays")));
        return;
    }
    out.push(told.help("decide which scenes need a switch: pin those that the sets play and leave out `others auto`, or take one out that nothing plays"));
}
