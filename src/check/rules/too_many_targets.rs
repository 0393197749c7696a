//! A scene gives a treadle more levels to move than the unit can.
//!
//! # On stage
//! The unit takes the first ones. What is left over stays where it was, while the foot believes it moves.
//!
//! # Way out
//! Let the treadle move fewer levels, put one of them on another treadle, or hold it at a value.
//!
//! # Fires
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps; foot inputs 1, 1 targets each }
//! pedal tide {
//!   loop 1
//!   level depth on expression 1 from 0 % to 60 %
//!   level blend on expression 2 from 0 % to 100 %
//! }
//! treadle rocker on foot input 1
//! scene swell { engage tide; rocker moves tide.depth, tide.blend from 80 % to 20 % }
//! song "Quay" { swell }
//! ```
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps; foot inputs 1, 2 targets each }
//! pedal tide {
//!   loop 1
//!   level depth on expression 1 from 0 % to 60 %
//!   level blend on expression 2 from 0 % to 100 %
//!   level size on midi 3 cc 14 from 0 % to 100 %
//! }
//! treadle rocker on foot input 1
//! layer wide { rocker moves tide.size }
//! layer deep { rocker moves tide.depth, tide.blend }
//! scene swell with wide, deep { engage tide }
//! song "Quay" { swell }
//! ```
//!
//! # Silent
//! ```scene
//! switcher { loops 1; expressions 2 of 128 steps; foot inputs 2, 1 targets each }
//! pedal tide {
//!   loop 1
//!   level depth on expression 1 from 0 % to 60 %
//!   level blend on expression 2 from 0 % to 100 %
//! }
//! treadle rocker on foot input 1
//! scene swell { engage tide; rocker moves tide.depth; tide.blend 20 % }
//! song "Quay" { swell }
//! ```

use crate::check::{Diagnostic, Facts, Severity};
use crate::settle::Value;

pub(super) const SEVERITY: Severity = Severity::Error;

pub(super) fn find(facts: &Facts<'_>, out: &mut Vec<Diagnostic>) {
    let Some(most) = facts.book.board.switcher.as_ref().and_then(|s| s.targets) else { return };
    for (scene, id) in facts.book.show.scenes.numbered().filter(|(s, _)| !s.faulty && !s.repeated) {
        let mut moved: Vec<(u8, Vec<String>)> = Vec::new();
        for column in facts.table.cells.list.ids() {
            let Value::Moved(travel) = facts.table.stored(id, column) else { continue };
            let cell = facts.table.cells.list.get(column);
            let Some((device, control)) = cell.and_then(|c| c.users.first().copied()) else { continue };
            let level = facts.control(device, control).map_or("?", |c| &c.name);
            let name = format!("`{}` {level}", facts.device(device));
            match moved.iter_mut().find(|(input, _)| *input == travel.input()) {
                Some((_, names)) => names.push(name),
                None => moved.push((travel.input(), vec![name])),
            }
        }
        for (input, names) in moved.into_iter().filter(|(_, names)| names.len() > usize::from(most.value)) {
            let treadle = facts.book.board.treadle_name(input);
            let one = if most.value == 1 { "level" } else { "levels" };
            let told = format!("`{}` gives `{treadle}` {} levels to move, and one input moves {}", scene.name, names.len(), most.value);
            out.push(
                Diagnostic::new(scene.at, told)
                    .label(crate::check::say::joined(&names, "and"))
                    .other(most.at, format!("{} {one} for each treadle, as said here", most.value))
                    .about(scene.name.as_str())
                    .help("let the treadle move fewer, or hold one of them at a value"),
            );
        }
    }
}
