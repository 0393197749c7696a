//! What the player noted, and what became of the scenes.

use super::page::{Line, Section, Tone, blocks};
use crate::Compiled;
use crate::compare::Comparison;
use crate::compare::pairing::Paired;
use crate::print::doc::Block;
use crate::print::sheet::answers::Answer;

/// A note a line: changed, as it was, or gone.
pub fn section(comparison: &Comparison<'_>, answers: &[Answer]) -> Vec<Block> {
    let lines = answers.iter().map(|answer| line(comparison, answer)).collect();
    blocks(Section { title: "Notes of the player".to_owned(), lead: String::new(), lines })
}

fn line(comparison: &Comparison<'_>, answer: &Answer) -> Line {
    let name = Some(answer.scene.as_str());
    let changed = comparison.scenes.iter().find(|s| s.was.as_deref() == name || s.now.as_deref() == name);
    let has = |compiled: &Compiled| compiled.book.show.scenes.iter().any(|s| *s.name == *answer.scene);
    let (tone, fate) = match changed {
        Some(change) if change.now.is_none() => (Tone::Went, "is gone".to_owned()),
        Some(change) if change.was.is_none() => (Tone::Came, "is new".to_owned()),
        Some(change) if change.was != change.now => {
            (Tone::Turned, format!("is changed, and called `{}` now", change.now.as_deref().unwrap_or("")))
        }
        Some(_) => (Tone::Turned, "is changed".to_owned()),
        None if has(comparison.new) => (Tone::Plain, "is as it was".to_owned()),
        None => match comparison.matched.renamed.iter().find(|r| r.kind == Paired::Scene && r.was == answer.scene) {
            Some(renamed) => (Tone::Plain, format!("is as it was, and called `{}` now", renamed.now)),
            None => (Tone::Plain, "is in neither book".to_owned()),
        },
    };
    let Answer { song, part, scene, says, .. } = answer;
    Line::new(0, tone, format!("`{scene}` {fate}: {says} (\"{song}\", {part})"))
}
