//! What the sheets say of a part that breaks: a few words.

use super::model::entries;
use crate::Compiled;
use crate::study::without::{Asked, Part, study};

/// A part, in how many parts of songs it is missed, and what to do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Brief {
    pub part: String,
    /// It is for who knows the board: a jack, an output, a supply.
    pub tech: bool,
    pub parts: usize,
    pub says: String,
}

/// All that breaks and is missed in a set, or in any; leads go by their kind, and are no matter of a sheet.
pub fn list(compiled: &Compiled, set: Option<&str>) -> Vec<Brief> {
    let asked = Asked { set: set.map(str::to_owned), near: false, ..Asked::default() };
    let study = study(&compiled.given(), &asked);
    let told = |part: Part, like: bool| match part {
        Part::Lead(_) | Part::Loop(_) | Part::Channel { .. } => false,
        // An outlet of one pedal is as the pedal, but where another outlet suits.
        Part::Outlet(..) | Part::Supply(_) => !like,
        _ => true,
    };
    let all = entries(compiled, &study).into_iter();
    let kept = all.filter(|e| e.parts > 0 && !e.brief.is_empty() && told(e.of, e.like.is_some()));
    let tech = |part: Part| matches!(part, Part::Remote(_) | Part::Output(_) | Part::Supply(_) | Part::Outlet(..));
    kept.map(|e| Brief { tech: tech(e.of), part: e.part, parts: e.parts, says: e.brief }).collect()
}
